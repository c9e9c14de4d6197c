//go:build !race

package cli_test

const raceDetector = false
