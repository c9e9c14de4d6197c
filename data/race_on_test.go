//go:build race

package data

// raceDetector tells that tests run some ten times slower: they take their short
// rounds then.
const raceDetector = true
