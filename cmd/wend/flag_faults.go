package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"wend/internal/expression"
	"wend/lang/diag"
)

// takes says what the value of a flag is; flags whose value may be left out are
// switches to the library.
func takes(value interface{ Type() string }) string {
	switch value := value.(type) {
	case *lengthFlag:
		return "a length above 0, in mm"
	case *sideFlag:
		return value.takes()
	case *armedFlag:
		return "`sure`, or nothing after it"
	case *resumeFlag:
		return "mm along the line, or nothing after it"
	}
	return kindInWords(value.Type())
}

// flagFault says in plain words what is wrong with a flag.
func flagFault(cmd *cobra.Command, err error) error {
	var named interface {
		GetSpecifiedName() string
		GetSpecifiedShortnames() string
	}
	var refused interface{ GetValue() string }
	var strange interface{ GetSpecifiedFlag() string }
	help := fmt.Sprintf("`%s --help` lists the flags", cmd.CommandPath())
	switch {
	case errors.As(err, &refused):
		name := refusedFlag(err, refused.GetValue())
		if flag := cmd.Flags().Lookup(name); flag != nil {
			return usagef("--%s takes %s, not `%s`; %s", name, takes(flag.Value), refused.GetValue(), help)
		}
	case errors.As(err, &named):
		name := named.GetSpecifiedName()
		if flag := cmd.Flags().Lookup(name); flag != nil {
			return usagef("--%s needs a value after it: %s", name, valueOf(name, flag.Value.Type(), flag.Usage))
		}
		if letters := named.GetSpecifiedShortnames(); letters != "" {
			return usagef("there is no flag `-%s`; %s", letters, help)
		}
		if near := diag.Nearest(name, flagNames(cmd), 1); len(near) > 0 {
			return usagef("there is no flag `--%s`; did you mean `--%s`?", name, near[0])
		}
		return usagef("there is no flag `--%s`; %s", name, help)
	}
	if errors.As(err, &strange) {
		return usagef("there is no flag `%s`; %s", strange.GetSpecifiedFlag(), help)
	}
	return usagef("%s; %s", err, help)
}

// refusedFlag is the flag of an error about its value, which does not say it by
// itself: the text is `invalid argument VALUE for NAME flag: CAUSE`.
func refusedFlag(err error, value string) string {
	_, rest, _ := strings.Cut(err.Error(), fmt.Sprintf("invalid argument %q for ", value))
	names, _, _ := strings.Cut(strings.TrimPrefix(rest, `"`), `" flag: `)
	_, name, _ := strings.Cut(names, "--") // a letter may stand before it
	return name
}

// kindInWords is what a flag takes.
func kindInWords(kind string) string {
	switch {
	case strings.HasPrefix(kind, "float"):
		return "a number"
	case strings.HasPrefix(kind, "int"):
		return "a whole number"
	case strings.HasPrefix(kind, "uint"):
		return "a whole number that is not below 0"
	case kind == "bool":
		return "true or false, or nothing after it"
	}
	return "another kind of value"
}

// valueOf shows a flag with its value, as the help names it.
func valueOf(name, kind, usage string) string {
	if parts := strings.Split(usage, "`"); len(parts) > 2 {
		kind = parts[1]
	}
	return fmt.Sprintf("`--%s %s`", name, kind)
}

var flagLine = expression.Of(`(?m)^ +(?:-\w, )?--([\w-]+)`)

// flagNames are the flags that the help of a command lists.
func flagNames(cmd *cobra.Command) []string {
	var names []string
	for _, found := range flagLine.FindAllStringSubmatch(cmd.Flags().FlagUsages(), -1) {
		names = append(names, found[1])
	}
	return names
}

// withoutArguments has every command whose use names no argument say so in
// plain words.
func withoutArguments(cmd *cobra.Command) {
	for _, sub := range cmd.Commands() {
		withoutArguments(sub)
		if !sub.HasSubCommands() && !strings.Contains(sub.Use, " ") {
			sub.Args = noArguments
		}
	}
}

func noArguments(cmd *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return nil
	case strings.HasSuffix(strings.ToLower(args[0]), ".toml") && cmd.Flags().Lookup("machine") != nil:
		return usagef("`%s` takes no file of its own; a profile is named by a flag: --machine %s", cmd.CommandPath(), args[0])
	}
	return usagef("`%s` takes nothing but flags, and there is `%s`; `%s --help` shows how to call it", cmd.CommandPath(), args[0], cmd.CommandPath())
}
