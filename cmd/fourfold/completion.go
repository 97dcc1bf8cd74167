package main

import (
	"fmt"
	"io"
	"strings"

	"fourfold/analysis/rules"
)

const completionUsage = `usage: fourfold completion bash|zsh|fish

Prints what makes the shell complete commands, options and their values:
  bash  fourfold completion bash > ~/.local/share/bash-completion/completions/fourfold
  zsh   fourfold completion zsh > FOLDER/_fourfold, FOLDER being one of $fpath
  fish  fourfold completion fish > ~/.config/fish/completions/fourfold.fish
`

var shells = []string{"bash", "zsh", "fish"}

// runCompletion prints the completion for a shell, made from the manuals.
func runCompletion(args []string, stdout, stderr io.Writer) int {
	words, code, ok := parseFlags(newFlags("completion", completionUsage, stderr), args, stdout)
	if !ok {
		return code
	}
	write := map[string]func(io.Writer){"bash": completeBash, "zsh": completeZsh, "fish": completeFish}
	if len(words) != 1 || write[words[0]] == nil {
		return wrongUsage(stderr, "completion", "name one shell: "+orList(shells))
	}
	write[words[0]](stdout)
	return 0
}

// ownWords are what a command takes besides options and files.
func ownWords(takes string) []string {
	switch takes {
	case takesRules:
		return append(rules.Names(), "settings")
	case takesShell:
		return shells
	}
	return nil
}

func takesFiles(takes string) bool { return takes == takesScores || takes == takesFile }

// isFile says whether an option's value names a file.
func (o option) isFile() bool { return o.value == "FILE" || o.value == "PAGE" }

func completeBash(w io.Writer) {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	fmt.Fprintf(w, `# Completion of fourfold for bash.
_fourfold() {
  local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} command=${COMP_WORDS[1]}
  COMPREPLY=()
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W "%s" -- "$cur"))
    return
  fi
  case "$command $prev" in
`, strings.Join(names, " "))
	for _, c := range commands() {
		for _, o := range manuals()[c.name].options {
			switch {
			case len(o.words) > 0:
				fmt.Fprintf(w, "    \"%s %s\") COMPREPLY=($(compgen -W \"%s\" -- \"$cur\")); return ;;\n", c.name, o.dashes(), strings.Join(o.words, " "))
			case o.isFile():
				fmt.Fprintf(w, "    \"%s %s\") COMPREPLY=($(compgen -f -- \"$cur\")); return ;;\n", c.name, o.dashes())
			case o.value != "":
				fmt.Fprintf(w, "    \"%s %s\") return ;;\n", c.name, o.dashes())
			}
		}
	}
	fmt.Fprint(w, "  esac\n  case \"$command\" in\n")
	for _, c := range commands() {
		m := manuals()[c.name]
		words := append([]string{"--help"}, ownWords(m.takes)...)
		for _, o := range m.options {
			words = append(words, o.dashes())
		}
		files := ""
		if takesFiles(m.takes) {
			files = " $(compgen -f -- \"$cur\")"
		}
		fmt.Fprintf(w, "    %s) COMPREPLY=($(compgen -W \"%s\" -- \"$cur\")%s) ;;\n", c.name, strings.Join(words, " "), files)
	}
	fmt.Fprint(w, "  esac\n}\ncomplete -o filenames -F _fourfold fourfold\n")
}

func completeZsh(w io.Writer) {
	fmt.Fprint(w, "#compdef fourfold\n# Completion of fourfold for zsh.\nlocal state\n_arguments '1: :->command' '*:: :->rest'\nif [[ $state == command ]]; then\n  _values command \\\n")
	for _, c := range commands() {
		fmt.Fprintf(w, "    '%s[%s]' \\\n", c.name, zshWords(c.about))
	}
	fmt.Fprint(w, "    && return\nfi\ncase $words[1] in\n")
	for _, c := range commands() {
		m := manuals()[c.name]
		fmt.Fprintf(w, "  %s)\n    _arguments '--help[say more]'", c.name)
		for _, o := range m.options {
			fmt.Fprintf(w, " \\\n      '*%s[%s]", o.dashes(), zshWords(o.about))
			switch {
			case len(o.words) > 0:
				fmt.Fprintf(w, ":%s:(%s)'", o.value, strings.Join(o.words, " "))
			case o.isFile():
				fmt.Fprintf(w, ":%s:_files'", o.value)
			case o.value != "":
				fmt.Fprintf(w, ":%s:'", o.value)
			default:
				fmt.Fprint(w, "'")
			}
		}
		if own := ownWords(m.takes); own != nil {
			fmt.Fprintf(w, " \\\n      '*: :(%s)'", strings.Join(own, " "))
		} else if takesFiles(m.takes) {
			fmt.Fprint(w, " \\\n      '*:file:_files'")
		}
		fmt.Fprint(w, "\n    ;;\n")
	}
	fmt.Fprint(w, "esac\n")
}

// zshWords takes out of a text what ends it in the shell's own grammar.
func zshWords(text string) string {
	return strings.NewReplacer("'", "", "[", "(", "]", ")", ":", ",").Replace(text)
}

func completeFish(w io.Writer) {
	fmt.Fprint(w, "# Completion of fourfold for fish.\ncomplete -c fourfold -f\n")
	for _, c := range commands() {
		fmt.Fprintf(w, "complete -c fourfold -n __fish_use_subcommand -a %s -d '%s'\n", c.name, fishWords(c.about))
		m := manuals()[c.name]
		in := "'__fish_seen_subcommand_from " + c.name + "'"
		if takesFiles(m.takes) {
			fmt.Fprintf(w, "complete -c fourfold -n %s -F\n", in)
		}
		if own := ownWords(m.takes); own != nil {
			fmt.Fprintf(w, "complete -c fourfold -n %s -a '%s'\n", in, strings.Join(own, " "))
		}
		for _, o := range m.options {
			kind := "-l " + o.name
			if len(o.name) == 1 {
				kind = "-s " + o.name
			}
			switch {
			case len(o.words) > 0:
				kind += " -x -a '" + strings.Join(o.words, " ") + "'"
			case o.isFile():
				kind += " -r -F"
			case o.value != "":
				kind += " -x"
			}
			fmt.Fprintf(w, "complete -c fourfold -n %s %s -d '%s'\n", in, kind, fishWords(o.about))
		}
	}
}

func fishWords(text string) string { return strings.ReplaceAll(text, "'", `\'`) }
