package main

import (
	"strings"

	"github.com/spf13/cobra"
)

// atLeastOne makes a missing argument a usage error that says what is wanted.
func atLeastOne(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usagef("%s is missing; `%s --help` shows how to call it", what, cmd.CommandPath())
		}
		return nil
	}
}

// exactlyOne wants one argument.
func exactlyOne(what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) > 1 {
			return usagef("%s takes one file, not %d; `%s --help` shows how to call it", cmd.CommandPath(), len(args), cmd.CommandPath())
		}
		return atLeastOne(what)(cmd, args)
	}
}

// oneText wants one argument that is a text.
func oneText(cmd *cobra.Command, args []string) error {
	if len(args) > 1 {
		return usagef("%s takes one text; put quotes around it: %s %q", cmd.CommandPath(), cmd.CommandPath(), strings.Join(args, " "))
	}
	return atLeastOne("a text")(cmd, args)
}
