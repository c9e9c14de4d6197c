//go:build !race

package ranker

// raceDetector tells whether the test was built with it; single-threaded
// long tests are shorter then.
const raceDetector = false
