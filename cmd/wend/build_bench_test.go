package main

import (
	"bytes"
	"context"
	"testing"
)

// The whole way: 1,048,576 pieces from source to picture and instructions,
// checked and read back.
func BenchmarkBuildOfAMillionPieces(b *testing.B) {
	folder := b.TempDir()
	b.ReportAllocs()
	for b.Loop() {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), []string{"build", "../../testdata/million.wend", "--out", folder, "--quiet"}, console{
			stdout: &stdout, stderr: &stderr,
			environment: func(string) string { return "" },
			terminal:    func(int) bool { return false },
			columns:     func() int { return 0 },
		})
		if code != exitDone {
			b.Fatal(stderr.String())
		}
	}
}

// A page of lettering, looked at for errors alone.
func BenchmarkCheckOfAPageOfLettering(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		var stdout, stderr bytes.Buffer
		code := run(context.Background(), []string{"check", "../../examples/specimen-brook.wend", "--quiet"}, console{
			stdout: &stdout, stderr: &stderr,
			environment: func(string) string { return "" },
			terminal:    func(int) bool { return false },
			columns:     func() int { return 0 },
		})
		if code != exitDone {
			b.Fatal(stderr.String())
		}
	}
}
