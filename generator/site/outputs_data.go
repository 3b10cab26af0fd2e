package site

import (
	"fmt"

	"wattsheet/generator/datafile"
	"wattsheet/generator/sheet"
)

// dataOutputs makes the data files of a unit, each on a desk that is its own.
func dataOutputs(unit *sheet.Sheet) ([]Output, error) {
	folder := unitsFolder + "/" + unit.Slug + "/"
	outputs := []Output{{Path: folder + "sheet.json"}, {Path: folder + "runs.csv"}}
	for i, make := range []func(*sheet.Sheet) ([]byte, error){datafile.JSON, datafile.CSV} {
		var err error
		if outputs[i].Bytes, err = make(unit); err != nil {
			return nil, fmt.Errorf("%s: %w", outputs[i].Path, err)
		}
	}
	return outputs, nil
}

// clearDesks gives the room of data files back when nobody needs their bytes any more.
func clearDesks(outputs []Output) {
	for i := range outputs {
		datafile.Clear(outputs[i].Bytes)
	}
}
