package main

import (
	"fmt"
	"os"
	"runtime/metrics"
	"time"
)

// mostMemory is what a run may hold. A jacket with all its sheets takes under a tenth of it.
const mostMemory = 1 << 30

// watchMemory gives the whole run up, with one sentence, when it holds more memory than any garment needs. A
// garment script may be anyone's, and one of its operators may ask for gigabytes in one step, which no count of
// steps can see. Nothing is half-written then: files take their names only when all of them are whole.
func watchMemory(w *world) (stop func()) {
	done := make(chan struct{})
	go func() {
		held := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-done:
				return
			case <-tick.C:
			}
			if metrics.Read(held); held[0].Value.Uint64() > mostMemory {
				fmt.Fprintf(w.err, "error: it takes more than %d MB of memory, which is all that is allowed: the garment's script or a file asks for too much\n", mostMemory>>20)
				os.Exit(2)
			}
		}
	}()
	return func() { close(done) }
}
