package audio

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"unicode/utf8"
)

// Kinds of input as sniff tells them.
const (
	kindWAV   = "WAV"
	kindFLAC  = "FLAC"
	kindOGG   = "OGG"
	kindMP3   = "MP3"
	kindText  = "text"
	kindEmpty = "empty"
	kindOther = "other"
)

// sniff tells the format from the first few bytes, and leaves them in r but for
// an ID3 tag, which may stand before MP3 and FLAC and says nothing of use here.
// It asks for few bytes, so as not to hold up a live pipe.
func sniff(r *bufio.Reader) string {
	skipID3(r)
	p, _ := r.Peek(12)
	switch {
	case len(p) == 0:
		return kindEmpty
	case len(p) == 12 && isRIFF(p[:4]) && string(p[8:]) == "WAVE":
		return kindWAV
	case bytes.HasPrefix(p, []byte("fLaC")):
		return kindFLAC
	case bytes.HasPrefix(p, []byte("OggS")) && isVorbis(r):
		return kindOGG
	case len(p) >= 4 && mp3Header(binary.BigEndian.Uint32(p)).readable():
		return kindMP3
	case isText(r):
		return kindText
	}
	return kindOther
}

func isRIFF(id []byte) bool {
	return string(id) == "RIFF" || string(id) == "RF64" || string(id) == "BW64"
}

// isVorbis looks at the first packet of an Ogg stream; it may be Opus as well.
func isVorbis(r *bufio.Reader) bool {
	p, _ := r.Peek(35)
	return len(p) == 35 && string(p[28:]) == "\x01vorbis"
}

// isText tells whether what is in r's buffer by now is text: UTF-8 without
// control characters.
func isText(r *bufio.Reader) bool {
	p, _ := r.Peek(min(r.Buffered(), 512))
	for len(p) > 0 {
		c, n := utf8.DecodeRune(p)
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' {
			return false
		}
		if c == utf8.RuneError && n == 1 && len(p) >= utf8.UTFMax {
			return false // shorter, it may be a character cut in two
		}
		p = p[n:]
	}
	return true
}

// skipID3 reads over ID3v2 tags. Their size counts seven bits a byte.
func skipID3(r *bufio.Reader) {
	for range 4 {
		p, _ := r.Peek(10)
		if len(p) < 10 || string(p[:3]) != "ID3" {
			return
		}
		size := 10
		for _, b := range p[6:] {
			if b > 0x7F {
				return
			}
		}
		size += int(p[6])<<21 | int(p[7])<<14 | int(p[8])<<7 | int(p[9])
		r.Discard(size)
	}
}
