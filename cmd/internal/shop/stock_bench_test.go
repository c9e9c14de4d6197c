package shop

import (
	"testing"

	"sootsayer/data"
)

// BenchmarkStock answers the parts clerk's questions in the invented shop: what
// will be used, what to order, what a truck should carry, what to bring to a job.
func BenchmarkStock(b *testing.B) {
	s := demoShop(b, data.DemoDay())
	j, err := s.OpenJob(Complaint{Words: "starts then locks out", Family: "oil-furnace"})
	if err != nil {
		b.Fatal(err)
	}
	lines, err := s.Count("shelf", data.DemoDay(), []Pieces{{"nozzle-085-80-hollow", 2}, {"fuel-filter-cartridge", 4}, {"flame-eye", 2}})
	record(b, lines, err)
	d := demandOf(b, s, DemandOptions{})
	fail := func(b *testing.B, err error) {
		if err != nil {
			b.Fatal(err)
		}
	}
	b.Run("forecast", func(b *testing.B) {
		for b.Loop() {
			demandOf(b, s, DemandOptions{}).Forecasts(90)
		}
	})
	b.Run("order", func(b *testing.B) {
		for b.Loop() {
			_, err := s.Order(d, UsualOrder())
			fail(b, err)
		}
	})
	b.Run("truck/jobs=1", func(b *testing.B) {
		for b.Loop() {
			_, err := s.Truck(d, TruckOptions{Money: 600, Jobs: 1})
			fail(b, err)
		}
	})
	b.Run("truck/jobs=6", func(b *testing.B) {
		for b.Loop() {
			_, err := s.Truck(d, TruckOptions{Money: 600, Jobs: 6})
			fail(b, err)
		}
	})
	b.Run("bring", func(b *testing.B) {
		for b.Loop() {
			_, err := s.Bring(&j, BringOptions{Share: 0.95})
			fail(b, err)
		}
	})
}
