package cli

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"understage/internal/spec"
)

// tooWide returns the first line of text that is wider than a page.
func tooWide(text string) string {
	for line := range strings.Lines(text) {
		if utf8.RuneCountInString(strings.TrimSuffix(line, "\n")) > textWidth {
			return line
		}
	}
	return ""
}

func TestHelpFitsThePage(t *testing.T) {
	for _, c := range newRootCmd(&app{}).Commands() {
		var out bytes.Buffer
		Main([]string{c.Name(), "--help"}, strings.NewReader(""), &out, &out)
		if line := tooWide(out.String()); line != "" {
			t.Errorf("%s --help: %s", c.Name(), line)
		}
	}
}

// Every table keeps to the page, whatever the maker calls the parts.
func TestTablesFitThePage(t *testing.T) {
	watchman := string(spec.Figures()[0].Text)
	names := regexp.MustCompile(`\b(sway|bow|fore|side|lantern|bollard|knee|tip|loop|chime)\b`)
	for _, long := range []string{"", "_of_a_rather_wordy_maker"} {
		text := names.ReplaceAllString(watchman, "${1}"+long)
		for _, args := range []string{
			"report -", "check - --all", "pose - --turns 3", "chart -", "cam -", "belt -", "belt - --choose --top 2",
			"sweep - --vary motor.supply=4,5", "tolerance - --margin cams.sway" + long + ".base=0.1 --draws 20",
		} {
			var out, messages bytes.Buffer
			if status := Main(strings.Fields(args), strings.NewReader(text), &out, &messages); status == statusNone {
				t.Fatalf("%s: %s", args, messages.String())
			}
			if line := tooWide(out.String()); line != "" {
				t.Errorf("%s: %s", args, line)
			}
		}
	}
}
