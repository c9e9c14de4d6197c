package stock

import "sync"

// chunks is into how many pieces the parts are cut, whatever the number of
// workers, so that sums come out the same.
const chunks = 16

// inChunks runs do for equal stretches of n things, on some workers.
func inChunks(n, workers int, do func(chunk, from, to int)) {
	var wait sync.WaitGroup
	next := make(chan int, chunks)
	for c := range chunks {
		next <- c
	}
	close(next)
	for range max(1, min(workers, chunks)) {
		wait.Go(func() {
			for c := range next {
				do(c, c*n/chunks, (c+1)*n/chunks)
			}
		})
	}
	wait.Wait()
}
