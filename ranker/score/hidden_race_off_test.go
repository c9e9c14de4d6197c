//go:build !race

package score

// raceDetector tells whether the test was built with it; long simulations in
// one goroutine would only be slow under it.
const raceDetector = false
