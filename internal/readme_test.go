package internal_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"understage/internal/cli"
)

// TestReadme runs what the README shows: every command line in its shell
// blocks ends well, in order and in an empty folder, and the message it shows
// is the one that is printed.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	ran := 0
	for _, line := range strings.Split(blocks(string(text), "sh"), "\n") {
		line = strings.TrimPrefix(line, "bin/")
		if !strings.HasPrefix(line, "understage ") {
			continue
		}
		line, _, _ = strings.Cut(line, " | ")
		status, _, stderr := run(words(line)[1:])
		if status > 1 {
			t.Errorf("%s: status %d: %s", line, status, stderr)
		}
		ran++
	}
	if ran < 5 {
		t.Errorf("only %d commands found in the README", ran)
	}

	shown := blocks(string(text), "text")
	figure, err := os.ReadFile("mine.yaml")
	if err != nil {
		t.Fatal(err)
	}
	wrong := strings.Replace(string(figure), "supply: 4.8 V", "supply: 4.8 Volt", 1)
	if err := os.WriteFile("mine.yaml", []byte(wrong), 0o644); err != nil {
		t.Fatal(err)
	}
	if status, _, stderr := run([]string{"report", "mine.yaml"}); status != 2 || stderr != shown {
		t.Errorf("the README shows\n%s\nand the program, status %d,\n%s", shown, status, stderr)
	}
}

// TestReadmeCommands: the table of commands names none that is not there.
func TestReadmeCommands(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, help, _ := run([]string{"--help"})
	rows := 0
	for _, line := range strings.Split(string(text), "\n") {
		row, ok := strings.CutPrefix(line, "| `")
		if !ok {
			continue
		}
		rows++
		name, _, _ := strings.Cut(strings.Split(row, "`")[0], " ")
		if !strings.Contains(help, "\n  "+name+" ") {
			t.Errorf("the README lists the command %s, which is not there", name)
		}
	}
	if rows < 8 {
		t.Errorf("only %d commands in the README's table", rows)
	}
}

func run(args []string) (status int, stdout, stderr string) {
	var out, err bytes.Buffer
	status = cli.Main(args, strings.NewReader(""), &out, &err)
	return status, out.String(), err.String()
}

// blocks returns the text of all fenced blocks of a language.
func blocks(markdown, language string) string {
	var b strings.Builder
	for _, part := range strings.Split(markdown, "```"+language+"\n")[1:] {
		block, _, _ := strings.Cut(part, "```")
		b.WriteString(block)
	}
	return b.String()
}

// words splits a command line at blanks outside single quotes, up to a comment.
func words(line string) []string {
	var list []string
	quoted := false
	word := ""
	for _, r := range line + " " {
		switch {
		case r == '\'':
			quoted = !quoted
		case r == ' ' && !quoted:
			if word != "" {
				list = append(list, word)
			}
			word = ""
		case r == '#' && word == "" && !quoted:
			return list
		default:
			word += string(r)
		}
	}
	return list
}
