//go:build unix

package pack

import (
	"syscall"
	"time"
)

// processor is the time this process has spent on processors: what is measured by it does not grow when others use the machine.
func processor() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
