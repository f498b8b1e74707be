package audio

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/bits"
)

// The decoder under openOGG makes room for whatever the headers claim, up to
// terabytes, and with some code books never ends. What goes beyond these bounds is
// refused before it gets there; encoders stay far below them (the largest book of
// libvorbis has some 10 000 entries, from memory).
const (
	maxOggHead   = 16 << 20 // bytes of the three headers; comments may hold a picture
	maxOggPacket = 1 << 20  // bytes of a packet of sound
	maxBook      = 1 << 17  // entries of a code book
	maxBookRoom  = 1 << 22  // values in all code books
)

var errVorbisHead = errors.New("a header of Vorbis that makes no sense")

// oggPages passes on an Ogg stream page by page, and ends it where a packet grows
// beyond most bytes. The layout of pages and headers is that of RFC 3533 and of the
// Vorbis I specification (from memory).
type oggPages struct {
	r    io.Reader
	most int
	page [27 + 255 + 255*255]byte
	left []byte // of the page, not passed on yet
	body []byte // the page's own
	segs []byte
	run  int // bytes of the packet that goes on with the next page
}

// next reads a page.
func (o *oggPages) next() error {
	head := o.page[:27]
	if _, err := io.ReadFull(o.r, head); err != nil {
		return err
	}
	n := int(head[26])
	if string(head[:4]) != "OggS" || n == 0 {
		return errors.New("not a page of OGG")
	}
	o.segs = o.page[27 : 27+n]
	if _, err := io.ReadFull(o.r, o.segs); err != nil {
		return unexpected(err)
	}
	size := 0
	for _, s := range o.segs {
		size += int(s)
		if o.run += int(s); o.run > o.most {
			return errors.New("a packet of OGG without end")
		}
		if s < 255 {
			o.run = 0
		}
	}
	o.body = o.page[27+n : 27+n+size]
	if _, err := io.ReadFull(o.r, o.body); err != nil {
		return unexpected(err)
	}
	o.left = o.page[:27+n+size]
	return nil
}

func unexpected(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}

// Read implements io.Reader.
func (o *oggPages) Read(p []byte) (int, error) {
	if len(o.left) == 0 {
		if err := o.next(); err != nil {
			return 0, err
		}
	}
	n := copy(p, o.left)
	o.left = o.left[n:]
	return n, nil
}

// checkVorbis reads the three headers of a Vorbis stream and returns the stream
// from its start. An error is errVorbisHead or one of reading.
func checkVorbis(r io.Reader) (io.Reader, error) {
	o := &oggPages{r: r, most: maxOggHead}
	var head, packet bytes.Buffer
	for n := 0; n < 3; {
		if err := o.next(); err != nil {
			return nil, unexpected(err)
		}
		head.Write(o.left)
		o.left = nil
		if head.Len() > maxOggHead {
			return nil, errVorbisHead
		}
		body := o.body
		for _, s := range o.segs {
			packet.Write(body[:s])
			body = body[s:]
			if s == 255 {
				continue
			}
			if n < 3 && !soundHeader(n, packet.Bytes()) {
				return nil, errVorbisHead
			}
			packet.Reset()
			n++
		}
	}
	o.most = maxOggPacket
	return io.MultiReader(&head, o), nil
}

// soundHeader tells whether the n-th header can be given to the decoder.
func soundHeader(n int, p []byte) bool {
	if len(p) < 7 || p[0] != byte(2*n+1) || string(p[1:7]) != "vorbis" {
		return false
	}
	switch p = p[7:]; n {
	case 1:
		return soundComments(p)
	case 2:
		return soundBooks(&lowBits{data: p})
	}
	return true
}

// soundComments: there cannot be more of them than their lengths take.
func soundComments(p []byte) bool {
	if len(p) < 4 {
		return false
	}
	vendor := uint64(binary.LittleEndian.Uint32(p))
	if uint64(len(p)) < 4+vendor+4 {
		return false
	}
	p = p[4+vendor:]
	return uint64(binary.LittleEndian.Uint32(p)) <= uint64(len(p)-4)/4
}

// soundBooks goes through the code books at the start of the set-up header.
func soundBooks(b *lowBits) bool {
	room := 0
	for n := b.read(8) + 1; n > 0; n-- {
		values, ok := soundBook(b)
		if room += values; !ok || b.short || room > maxBookRoom {
			return false
		}
	}
	return true
}

// soundBook tells how many values a code book takes, and whether it makes sense.
func soundBook(b *lowBits) (values int, ok bool) {
	if b.read(24) != 0x564342 {
		return 0, false
	}
	dims, entries := b.read(16), b.read(24)
	if dims < 1 || entries < 1 || entries > maxBook || !usedEntries(b, entries) {
		return 0, false
	}
	lookup := b.read(4)
	if lookup == 0 {
		return entries, true
	}
	values = entries * dims
	if lookup > 2 || values > maxBookRoom {
		return 0, false
	}
	b.skip(32 + 32)
	width, count := b.read(4)+1, values
	b.skip(1)
	if lookup == 1 {
		count = int(math.Floor(math.Pow(float64(entries), 1/float64(dims)))) // as the decoder has it
	}
	b.skip(count * width)
	return values + entries, true
}

// usedEntries reads the lengths of a book's words; false when there are none.
func usedEntries(b *lowBits, entries int) bool {
	used := 0
	if b.read(1) == 0 {
		sparse := b.read(1) == 1
		for n := 0; n < entries && !b.short; n++ {
			if !sparse || b.read(1) == 1 {
				b.skip(5)
				used++
			}
		}
		return used > 0
	}
	length := b.read(5) + 1
	for used < entries {
		n := b.read(bits.Len(uint(entries - used)))
		if n > entries-used || length > 32 || b.short {
			return false
		}
		used, length = used+n, length+1
	}
	return true
}

// lowBits reads bits, the lowest of each byte first.
type lowBits struct {
	data  []byte
	at    int  // bits read
	short bool // more was asked for than there is
}

// read gives the next n bits, up to 32; zeros beyond the end.
func (b *lowBits) read(n int) (v int) {
	for i := range n {
		if at := b.at + i; at < 8*len(b.data) {
			v |= int(b.data[at/8]>>(at%8)&1) << i
		}
	}
	b.skip(n)
	return v
}

func (b *lowBits) skip(n int) {
	b.at += n
	b.short = b.short || b.at > 8*len(b.data)
}
