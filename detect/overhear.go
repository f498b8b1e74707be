package detect

// Overhear has hear called, in the middle of Feed and Skip, with every hop of the
// input, once what is played (see Played) is taken out of it; nil ends that. The
// samples are at HearRate, full scale ±1, one hop as long as the other; where heard
// is false they were lost, and what is in the slice means nothing. hear must not
// keep the slice.
func (s *Sound) Overhear(hear func(hop []float64, heard bool)) { s.overheard = hear }

// HearRate is the rate of what Overhear gives, in Hz: that of the input, halved
// until it is below 40 000.
func (s *Sound) HearRate() float64 { return s.rate / float64(int(1)<<halvings(s.rate)) }

// Hop is how many samples of the input a hop has: 5 ms, or a few per cent more or
// less as the rate wants.
func (s *Sound) Hop() int { return s.hop }
