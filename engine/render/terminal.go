package render

import (
	"fmt"
	"io"
	"os"
	"regexp"
	"strings"

	"charm.land/glamour/v2"
	"charm.land/glamour/v2/ansi"
	"github.com/charmbracelet/colorprofile"

	"rungwise/engine/diag"
)

// widest is the longest line that is pleasant to read.
const widest = 100

// Terminal writes Markdown for a terminal of a width in columns, at most 100 of
// them used. Colours are the terminal's own sixteen, without backgrounds, and
// carry no meaning of their own; without color, or with NO_COLOR, they go and
// bold stays. A writer that is no terminal, or a dumb one, gets no escape at
// all. No line ends in a blank.
func Terminal(w io.Writer, markdown string, width int, color bool) error {
	return terminal(w, markdown, width, color, os.Environ())
}

func terminal(w io.Writer, markdown string, width int, color bool, env []string) error {
	if width <= 0 {
		width = 80
	}
	r, err := glamour.NewTermRenderer(glamour.WithStyles(style()), glamour.WithWordWrap(max(20, min(width, widest)-hang)))
	if err != nil {
		return fmt.Errorf("the terminal text cannot be made: %w", err)
	}
	text, err := r.Render(holdHyphens(diag.Clean(markdown)))
	if err != nil {
		return fmt.Errorf("the terminal text cannot be made: %w", err)
	}
	out := colorprofile.NewWriter(w, env)
	if !color && out.Profile > colorprofile.ASCII {
		out.Profile = colorprofile.ASCII
	}
	_, err = io.WriteString(out, tidyLines(text))
	return err
}

// hang is how far the later lines of a list item are set in.
const hang = 2

// held stands for a hyphen inside a word while lines are broken: the line
// breaker does not count hyphens and would let lines grow too long.
const held = "\u2011"

func holdHyphens(markdown string) string {
	inWord := regexp.MustCompile(`([\pL\pN])-([\pL\pN])`)
	markdown = inWord.ReplaceAllString(markdown, "${1}"+held+"${2}")
	return inWord.ReplaceAllString(markdown, "${1}"+held+"${2}") // "a-b-c" shares its middle letter
}

// tidyLines sets in the later lines of list items, takes the blanks off the end
// of each line, also those before a reset, and empty lines off both ends.
func tidyLines(text string) string {
	trail := regexp.MustCompile(`(?:[ \t]|\x1b\[[0-9;]*m)+$`)
	styles := regexp.MustCompile(`\x1b\[[0-9;]*m`)
	lines := strings.Split(strings.ReplaceAll(text, held, "-"), "\n")
	item := false
	for i, l := range lines {
		bare := strings.TrimSpace(styles.ReplaceAllString(l, ""))
		begins := strings.HasPrefix(bare, "- ")
		item = begins || item && bare != ""
		if at := trail.FindStringIndex(l); at != nil {
			lines[i] = l[:at[0]]
			if strings.Contains(l, "\x1b[") && lines[i] != "" {
				lines[i] += "\x1b[0m"
			}
		}
		if item && !begins && lines[i] != "" {
			lines[i] = strings.Repeat(" ", hang) + lines[i]
		}
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n") + "\n"
}

// style is the house style: bold headings, two quiet colours, no background.
func style() ansi.StyleConfig {
	yes, cyan, blue := true, "6", "4"
	margin, indent, bar := uint(2), uint(1), "| "
	block := func(color *string) ansi.StyleBlock {
		return ansi.StyleBlock{StylePrimitive: ansi.StylePrimitive{Bold: &yes, Color: color}}
	}
	return ansi.StyleConfig{
		Document:   ansi.StyleBlock{Margin: &margin, StylePrimitive: ansi.StylePrimitive{BlockPrefix: "\n", BlockSuffix: "\n"}},
		BlockQuote: ansi.StyleBlock{Indent: &indent, IndentToken: &bar},
		List:       ansi.StyleList{LevelIndent: 2},
		Heading:    ansi.StyleBlock{StylePrimitive: ansi.StylePrimitive{BlockSuffix: "\n", Bold: &yes}},
		H1:         ansi.StyleBlock{StylePrimitive: ansi.StylePrimitive{Bold: &yes, Color: &cyan, BlockSuffix: "\n"}},
		H2:         block(&cyan), H3: block(&blue), H4: block(nil), H5: block(nil), H6: block(nil),
		Emph:        ansi.StylePrimitive{Italic: &yes},
		Strong:      ansi.StylePrimitive{Bold: &yes},
		Item:        ansi.StylePrimitive{BlockPrefix: "- "},
		Enumeration: ansi.StylePrimitive{BlockPrefix: ". "},
		CodeBlock:   ansi.StyleCodeBlock{},
	}
}
