//go:build race

package pack

// raceDetector tells tests that search on one goroutine alone, and long, that the race detector would find nothing in them.
const raceDetector = true
