//go:build !race

package data

const raceDetector = false
