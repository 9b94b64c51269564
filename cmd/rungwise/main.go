// Command rungwise helps a pitching coach to find out why a throw that works in
// a drill does not work from the mound, and what to do about it.
//
// The commands are thin: each reads its flags, calls one method of the engine
// and hands what comes back to a renderer. Reports go to standard output,
// messages to standard error.
package main

import (
	"os"
	"time"

	"rungwise/engine"
)

func main() { os.Exit(run(outside(engine.Shipped()))) }

// outside is the world of a process.
func outside(trade engine.Trade) world {
	return world{
		args: os.Args[1:], in: os.Stdin, out: os.Stdout, err: os.Stderr,
		env: os.Getenv, now: time.Now, trade: trade,
	}
}
