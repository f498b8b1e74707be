package main

import (
	"crypto/rand"
	"encoding/base32"
	"fmt"
	"math/big"
	"strings"
)

// Letters of a word of entry that are told apart when they are called across a
// track: no two vowels or consonants that sound alike.
const (
	wordConsonants = "bdfgklmrstz"
	wordVowels     = "aiou"
)

// newWord draws a word of entry, easy to say: four syllables and two digits, one
// of 375 million. Wrong tries are slowed down by the hub.
func newWord() string {
	var b strings.Builder
	for range 4 {
		b.WriteByte(wordConsonants[draw(len(wordConsonants))])
		b.WriteByte(wordVowels[draw(len(wordVowels))])
	}
	fmt.Fprintf(&b, "%02d", draw(100))
	return b.String()
}

func draw(n int) int {
	i, err := rand.Int(rand.Reader, big.NewInt(int64(n)))
	if err != nil {
		panic(err) // crypto/rand never fails
	}
	return int(i.Int64())
}

// newKey draws a leader's key: 130 bits.
func newKey() string {
	var b [17]byte
	rand.Read(b[:])
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:])[:26])
}

const (
	leastWord, mostWord = 4, 40
	leastKey            = 12
)

// checkWord tells what is wrong with a word that a person chose.
func checkWord(word string) error {
	if n := len(word); n < leastWord || n > mostWord || printable(word) != word || strings.ContainsAny(word, " #&%?/") {
		return usagef("--word %q: want %d to %d letters and digits", word, leastWord, mostWord)
	}
	return nil
}

func checkKey(key string) error {
	if n := len(key); n < leastKey || n > 4*leastKey || printable(key) != key || strings.ContainsAny(key, " #&%?/") {
		return usagef("--key: want %d to %d letters and digits that nobody guesses; without it one is drawn", leastKey, 4*leastKey)
	}
	return nil
}
