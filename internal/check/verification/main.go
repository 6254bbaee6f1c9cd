// Command verification turns the rows that tests recorded (see package check) into docs/verification.md on standard output.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"littoral/internal/check"
	"os"
	"path/filepath"
	"sort"
	"strings"
)

type row struct {
	check.Row
	Test string
}

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: verification FOLDER")
		os.Exit(2)
	}
	rows, err := read(os.Args[1])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	fmt.Print(page(rows))
}

func read(dir string) ([]row, error) {
	files, err := filepath.Glob(filepath.Join(dir, "*.jsonl"))
	if err != nil {
		return nil, err
	}
	var rows []row
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		scan := bufio.NewScanner(f)
		for scan.Scan() {
			var r row
			if err := json.Unmarshal(scan.Bytes(), &r); err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			rows = append(rows, r)
		}
		f.Close()
		if err := scan.Err(); err != nil {
			return nil, err
		}
	}
	sort.SliceStable(rows, func(a, b int) bool {
		if rows[a].Room != rows[b].Room {
			return rows[a].Room < rows[b].Room
		}
		return rows[a].Test+rows[a].What < rows[b].Test+rows[b].What
	})
	return rows, nil
}

func page(rows []row) string {
	var b strings.Builder
	b.WriteString(`# Verification

Every check of Littoral against something outside it: published tables, reference calculations by independent programs, and facts
of the trade. The page is made from what the tests record (` + "`make verification`" + `), so each line names the test that holds it.
"From memory" marks a reference value that was written from memory of its source and not from the page itself.
`)
	room := ""
	for _, r := range rows {
		if r.Room != room {
			room = r.Room
			fmt.Fprintf(&b, "\n## %s\n\n| What | Source | Worst difference | Held to | Test |\n| --- | --- | --- | --- | --- |\n", room)
		}
		source := r.Source
		if r.Memory {
			source += " (from memory)"
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", cell(r.What), cell(source), cell(r.Worst), cell(r.Within), cell(r.Test))
	}
	fmt.Fprintf(&b, "\n%d checks.\n", len(rows))
	return b.String()
}

func cell(s string) string { return strings.NewReplacer("|", "\\|", "\n", " ").Replace(s) }
