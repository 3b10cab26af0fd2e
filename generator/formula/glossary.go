package formula

// A Term is a word that pages use and a reader may not know.
type Term struct {
	ID     string // stable: part of its address, methodology/#word-…
	Word   string // the word: THD+N
	Means  string // what it means here, in a sentence or two
	Source string // the standard that defines it; or that it is common practice, or this site's own
	See    string // the anchor on the methodology page of what tells more; empty where nothing does
}

// What a word rests on where no standard has it. Constants of this package are formulas' ids.
var practice, ownWord = "common practice, no source", "a word of this site"

// Glossary lists the words, by the alphabet. The methodology page prints just these, and
// pages lead there.
func Glossary() []Term { return glossary }

var glossary = []Term{
	{"bridged", "bridged", "Two channels drive one load between them, one of them turned upside down. Each then sees half of the load.", practice, ""},
	{"carried", "carried", "Worked out for the exact volts and ohms of a claim, from a run that stood close to them, for every way in which the unit may be built.", ownWord, "bracketing"},
	{"check-unit", "check unit", "An amplifier that stays at the bench and is measured on each test day. What moves in it is the bench.", ownWord, ""},
	{"claim", "claim", "One figure that the maker states, with the conditions printed beside it: load, channels, volts, distortion.", ownWord, "rule"},
	{"class", "class", "How an output stage works. A, AB and B steer the supply's volts down and turn the rest into heat; D switches, and wastes little.", practice, ""},
	{"clipped", "clipped", "Turned up so far that the tops of the wave are cut off, since the unit has no more volts to give. That makes more watts, and far more distortion.", practice, ""},
	{"corner", "corner", "One combination of the extremes that a run is carried to. A verdict has to be the same at all corners.", ownWord, "bracketing"},
	{"corner-of-a-filter", "corner, of a filter", "The frequency at which a filter has taken 3\u00a0dB from the level, which is half of the power.", practice, "formula-capture-corner"},
	{"coverage-factor", "coverage factor, k", "What the standard uncertainty is multiplied by, so that the interval holds the true value with a probability of 95\u00a0%. Near 2, and more where little is known.", "JCGM 100:2008, 2.3.6", "formula-expanded-uncertainty"},
	{"crest-factor", "crest factor", "How far the peak of a wave stands above its rms value: 1.41 for a sine. A meter reads true up to a crest factor of its own.", practice, ""},
	{"db", "dB", "Decibel: a ratio of two powers as ten times its logarithm. +3\u00a0dB is twice the power, −3\u00a0dB half of it, −0.5\u00a0dB is 11\u00a0% less.", "IEC 60027-3 (number from memory)", "formula-level-against-claim"},
	{"degrees-of-freedom", "degrees of freedom, ν", "How well an uncertainty itself is known. Few repeats give few, and a larger coverage factor.", "JCGM 100:2008, C.2.31 and G.4.1", "formula-effective-degrees-of-freedom"},
	{"efficiency", "efficiency", "The part of what the unit takes from its supply that reaches the load. The rest is heat in the unit.", "definition", "formula-efficiency"},
	{"expanded-uncertainty", "expanded uncertainty, U", "The number behind ±. The true value is expected within it of the measured one, with a probability of 95\u00a0%.", "JCGM 100:2008, 2.3.5", "uncertainty"},
	{"held-peak", "held peak", "The highest value that a meter showed for a moment and kept. It says only what was not exceeded.", practice, ""},
	{"load", "load", "What the unit drives, in ohms: on this bench a resistor. Nominal is its round name; measured is what it has while it is hot, with its leads.", practice, "formula-load-at-terminals"},
	{"load-line", "load line", "A thin curve through what one channel gave into three loads or more, as if it were a source with one inner resistance. Estimates at other loads come from it, verdicts never.", ownWord, "load-lines"},
	{"outcome", "outcome", "How a run ended: completed, in protection, with a blown fuse, at the limit of the bench's supply, or stopped. A shutdown is a result.", ownWord, "rule"},
	{"p", "p", "The probability that the unit really gives what is claimed, by the readings and their uncertainty.", "JCGM 106:2012, 7.3", "formula-probability-that-claim-holds"},
	{"pool", "pool", "How much a method's figures scatter when the same is measured again, from many such repeats.", "JCGM 200:2012, 2.21 (repeatability)", ""},
	{"power", "power a channel", "The mean power of a steady tone at the terminals of one channel, from true rms volts and the load's resistance. Neither a peak nor twice it.", "definition", "formula-power-from-volts"},
	{"protection", "protection", "What a unit does by itself against heat, current or a short: it turns down, or off.", practice, ""},
	{"rank", "rank", "The ranks that a unit may have in a list, since some of the others can't be told apart from it.", ownWord, "formula-rank-interval"},
	{"rms", "rms", "Root mean square: the steady volts or amperes that would heat a resistor as much. A true rms meter is right for waves that are no sine, too.", "definition", ""},
	{"run", "run", "One measurement at the bench. It is never overwritten, at most marked as not counting, with the reason.", ownWord, ""},
	{"sealed", "sealed", "Published as a version that doesn't change any more. What is wrong in it takes a correction, which stands on the page.", ownWord, ""},
	{"thdn", "THD+N", "Total harmonic distortion and noise: what comes out beside a pure tone, in percent of it. At 1\u00a0% most amplifiers begin to clip; at 10\u00a0% they clip hard, and give more watts.", "IEC 60268-3:2018, 14.12 (clause from memory); what 1\u00a0% and 10\u00a0% mean is common practice", "formula-distortion-of-fundamental"},
	{"told-apart", "told apart", "Two units differ by more than readings, repeats and conditions leave open. Otherwise nobody can say from these figures which gives more.", ownWord, "formula-difference-of-units"},
	{"tone-burst", "tone burst", "A tone that comes for a moment, again and again, as loud passages of music do. A unit may give more for so long than it can sustain.", practice, ""},
	{"weighting", "weighting, A", "Noise counted by how well an ear hears each frequency of it.", "IEC 61672-1:2013, annex E (from memory)", "formula-capture-signal-to-noise"},
}
