//go:build race

package score

const raceDetector = true
