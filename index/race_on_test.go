//go:build race

package index

// raceDetector slows everything tenfold, and with it a test of time.
const raceDetector = true
