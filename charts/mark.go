package charts

import "wattsheet/generator/verdict"

// The shapes of the verdicts, in a square of 16 by 16. They differ without colour.
var verdictShapes = map[verdict.Word]func(w *svg){
	verdict.Met:   func(w *svg) { markPath(w, "M2.5 8.5l3.6 3.8 7.4-8.6") },
	verdict.Short: func(w *svg) { markPath(w, "M8 2v11.4M3.4 8.8L8 13.4l4.6-4.6") },
	verdict.Open: func(w *svg) {
		w.empty("circle", "cx", "8", "cy", "8", "r", "5.4", "stroke-dasharray", "3.6 2.05")
	},
	verdict.Untested: func(w *svg) { markPath(w, "M4 8h8") },
	verdict.Incomparable: func(w *svg) {
		w.empty("circle", "cx", "8", "cy", "8", "r", "5.4")
		markPath(w, "M4.2 11.8l7.6-7.6")
	},
}

// Mark returns the small shape that stands before a verdict's word, as a whole
// <svg class="mark mark-met"> element in the colour of the text around it: a tick,
// an arrow down, a broken ring, a short dash, a ring with a bar. It says nothing to
// a screen reader, for the word stands beside it. Any other word has no shape: "".
func Mark(word verdict.Word) string { return marks[word] }

// marks are the shapes as drawings: a list of units shows thousands.
var marks = func() map[verdict.Word]string {
	marks := map[verdict.Word]string{}
	for word, shape := range verdictShapes {
		marks[word] = drawing(func(w *svg) {
			w.open("svg", "class", "mark mark-"+string(word), "viewBox", "0 0 16 16",
				"width", "16", "height", "16", "aria-hidden", "true", "fill", "none", "stroke", "currentColor", "stroke-width", "2.4")
			shape(w)
			w.close("svg")
		})
	}
	return marks
}()

func markPath(w *svg, d string) { w.empty("path", "d", d) }
