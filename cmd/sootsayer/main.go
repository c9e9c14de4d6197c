// Command sootsayer helps a heating service shop find what is wrong, fix it and
// learn from it. See the README.
package main

import (
	"context"
	"os"
	"os/signal"

	"sootsayer/cmd/internal/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := cli.Run(ctx, os.Args[1:], cli.Env{})
	stop()
	os.Exit(code)
}
