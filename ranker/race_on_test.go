//go:build race

package ranker

const raceDetector = true
