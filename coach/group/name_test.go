package group

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

func TestCleanName(t *testing.T) {
	for in, want := range map[string]string{
		"Mira Tal":                      "Mira Tal",
		"  Mira \t\n Tal\u00a0 ":        "Mira Tal",
		"Ma\u0301ra":                    "Ma\u0301ra",
		"李小龍":                           "李小龍",
		"O'Neill-Škoda":                 "O'Neill-Škoda",
		"<b>Jon</b>":                    "<b>Jon</b>", // pages escape
		"evil\u202egnp.exe":             "evilgnp.exe",
		"a\u200b\u200d\ufeffb\u2066c":   "abc",
		"a\x00\x1b[31mb\x7f\u0085c":     "a[31mb c", // U+0085 is a line's end
		"\u3164\u115f\uffa0\u2800":      "",
		"\u200b \u2028 \u00ad":          "",
		"a\u2028b":                      "a b",
		"\xff\xfeok":                    "ok",
		"\U000e0041tag":                 "tag",
		"a\ufe0f\U000e0100b":            "ab",
		"\ue000private":                 "private",
		"\u0301 \u0301a":                "a", // marks need a letter
		"Z" + mark(50) + "o":            "Z" + mark(maxMarks) + "o",
		strings.Repeat("é", 99):         strings.Repeat("é", MaxName),
		strings.Repeat("a", 39) + " bc": strings.Repeat("a", 39),
		strings.Repeat("a", 38) + " bc": strings.Repeat("a", 38) + " b",
		"":                              "",
	} {
		if got := CleanName(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
	}
}

func mark(n int) string { return strings.Repeat("\u0301", n) }

func FuzzCleanName(f *testing.F) {
	for _, s := range []string{"Mira Tal", "a\u202eb", "\xff", "Z\u0301\u0302\u0303\u0304", " x ", strings.Repeat("ab ", 30)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := CleanName(s)
		if again := CleanName(got); again != got {
			t.Errorf("%q: %q, then %q", s, got, again)
		}
		if !utf8.ValidString(got) || utf8.RuneCountInString(got) > MaxName || strings.TrimSpace(got) != got || strings.Contains(got, "  ") {
			t.Errorf("%q: %q", s, got)
		}
		for _, r := range got {
			if unicode.In(r, unicode.C) || r != ' ' && unicode.IsSpace(r) {
				t.Errorf("%q: %q has %U", s, got, r)
			}
		}
	})
}
