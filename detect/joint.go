package detect

// Feel takes a row of an accelerometer that is worn while the sound is heard.
func (s *Sound) Feel(t, x, y, z float64) {}
