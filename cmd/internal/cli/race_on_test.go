//go:build race

package cli_test

// raceDetector tells that tests run some ten times slower: they take their short
// rounds then.
const raceDetector = true
