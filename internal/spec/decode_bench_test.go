package spec

import "testing"

func BenchmarkParseWatchman(b *testing.B) {
	src := Source{Name: "watchman", Text: Figures()[0].Text}
	b.ReportAllocs()
	for b.Loop() {
		if _, msgs := Parse(src); msgs != nil {
			b.Fatal(msgs)
		}
	}
}

// One variant of a sweep: decoding with one value replaced.
func BenchmarkDecodeWatchman(b *testing.B) {
	doc, _ := Parse(Source{Name: "watchman", Text: Figures()[0].Text})
	b.ReportAllocs()
	for b.Loop() {
		sets, _ := ParseSets([]string{"cams.sway.base=17 mm"})
		if _, msgs := doc.Decode(sets, nil); msgs != nil {
			b.Fatal(msgs)
		}
	}
}

// One value of a sweep.
func BenchmarkParseSets(b *testing.B) {
	text := []string{"cams.sway.base=17 mm"}
	b.ReportAllocs()
	for b.Loop() {
		if _, msgs := ParseSets(text); msgs != nil {
			b.Fatal(msgs)
		}
	}
}
