//go:build unix

package spent

import (
	"syscall"
	"time"
)

// Processor is the time this program has had on processors, its own and the system's for it.
func Processor() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err) // it fails for wrong arguments only
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
