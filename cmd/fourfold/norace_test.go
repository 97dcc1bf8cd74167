package main

// raceDetector says that the tests run under the race detector, whose own memory
// is a multiple of the program's.
var raceDetector = false
