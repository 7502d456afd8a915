// Package job is the one path from a job file to everything that comes of it. The command line, batches, the
// browser and the tests all go this way: Read a job, Cut it, then ask the result for its JSON and its sheets.
//
// The package is pure: what it needs of the world (the job's bytes, the house's, a maker's own script) is handed
// in, and the same input gives the same bytes.
package job
