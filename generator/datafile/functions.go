package datafile

import "wattsheet/generator/record"

// A dataFunction is a check that has no number.
type dataFunction struct {
	// Name is what was tried.
	Name string `json:"name"`
	// Result is works, partly, fails or not-tried.
	Result string `json:"result"`
	// How is how it was tried.
	How string `json:"how,omitempty"`
	// Remarks is what a reader should know.
	Remarks string `json:"remarks,omitempty"`
	// Video is where it is seen in a video; left out where it isn't marked.
	Video *dataMark `json:"video,omitempty"`
}

func dataOfFunctions(all []record.Function) (out []dataFunction) {
	for _, f := range all {
		out = append(out, dataFunction{Name: f.Name, Result: f.Result, How: f.How, Remarks: f.Remarks})
	}
	return out
}

// function writes it back.
func (t *tomlText) function(f dataFunction) {
	t.head("[[function]]")
	t.text("name", f.Name)
	t.text("result", f.Result)
	t.text("how", f.How)
	t.text("remarks", f.Remarks)
	t.marked(f.Video)
}
