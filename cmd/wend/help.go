package main

import (
	"github.com/spf13/cobra"
)

// usageTemplate is how the help of a command goes on after its own text.
const usageTemplate = `Use:{{if .HasAvailableSubCommands}}
  {{.CommandPath}} COMMAND{{else}}
  {{.UseLine}}{{end}}{{if .HasExample}}

Examples:
{{.Example}}{{end}}{{if .HasAvailableSubCommands}}

Commands:{{range .Commands}}{{if .IsAvailableCommand}}
  {{rpad .Name .NamePadding}} {{.Short}}{{end}}{{end}}{{end}}{{if .HasAvailableLocalFlags}}

Flags:
{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}{{end}}{{if .HasAvailableSubCommands}}

` + "`{{.CommandPath}} COMMAND --help`" + ` tells more of a command.{{end}}
`

// newHelp is the help of a command by its name; --help does the same.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "what a command does, as its --help",
		RunE: func(cmd *cobra.Command, args []string) error {
			found, _, err := cmd.Root().Find(args)
			if err != nil || found == cmd.Root() && len(args) > 0 {
				return noCommand(cmd.Root(), args[0])
			}
			return found.Help()
		},
	}
}

// newCompletion makes what a shell needs to complete commands and flags.
func newCompletion(c console) *cobra.Command {
	shells := []string{"bash", "zsh", "fish", "powershell"}
	return &cobra.Command{
		Use:   "completion SHELL",
		Short: "what bash, zsh, fish or powershell needs to complete commands and flags by Tab",
		Long:  "Prints what a shell reads to complete commands and flags. Bash needs its package\nbash-completion for that.",
		Example: `  source <(wend completion bash)                                  in this terminal
  wend completion bash > ~/.local/share/bash-completion/completions/wend
  wend completion fish > ~/.config/fish/completions/wend.fish`,
		Args:      exactlyOne("a shell: bash, zsh, fish or powershell"),
		ValidArgs: shells,
		RunE: func(cmd *cobra.Command, args []string) error {
			root := cmd.Root()
			switch args[0] {
			case "bash":
				return root.GenBashCompletionV2(c.stdout, true)
			case "zsh":
				return root.GenZshCompletion(c.stdout)
			case "fish":
				return root.GenFishCompletion(c.stdout, true)
			case "powershell":
				return root.GenPowerShellCompletionWithDesc(c.stdout)
			}
			return usagef("`wend completion` knows bash, zsh, fish and powershell, not `%s`%s", args[0], didYouMean(args[0], shells, cmd))
		},
	}
}

// ownFlagTexts says of the flags that every command has what they do.
func ownFlagTexts(cmd *cobra.Command) {
	cmd.InitDefaultHelpFlag()
	cmd.Flags().Lookup("help").Usage = "show this text"
	if cmd.Version != "" {
		cmd.InitDefaultVersionFlag()
		cmd.Flags().Lookup("version").Usage = "show the version"
	}
	for _, sub := range cmd.Commands() {
		ownFlagTexts(sub)
	}
}
