//go:build !unix

package spent

import "time"

var began = time.Now()

// Processor is the time since the program began, where more is not known.
func Processor() time.Duration { return time.Since(began) }
