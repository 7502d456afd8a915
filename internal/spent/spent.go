// Package spent is a clock of processor time, for measurements that are not to grow when other programs use the machine.
package spent

import "time"

// Clock returns a clock that goes by the time this program has had on processors, divided by the number of workers that use it: on
// an idle machine as fast as the one on the wall.
func Clock(workers int) func() time.Time {
	return func() time.Time { return time.Unix(0, 0).Add(Processor() / time.Duration(workers)) }
}
