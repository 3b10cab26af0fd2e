package verify

import (
	"bytes"
	"strings"
	"testing"
)

// A changed digit of what lies between the points is named, and nothing else is.
func TestVerifyNamesWhatLiesBetween(t *testing.T) {
	sheets := demoSheets(t)
	for slug, paths := range map[string][]string{
		"fernklaxon-wharfmitten-2": {
			"supply_exponent.k.value", "supply_exponent.k.expanded", "supply_exponent.chi2", "supply_exponent.p", "supply_exponent.groups[1].points[0].residual",
			"supply_exponent.groups[0].points[2].weight", "claims[0].estimate.channels[0].low.value", "claims[0].estimate.channels[1].own.u", "claims[1].estimate.channels[0].from_v",
		},
		"wickerpylon-sumpferret-1": {
			"load_lines[0].p", "load_lines[0].worst_standardised", "load_lines[0].points[1].standardised", "load_lines[0].points[2].weight", "load_lines[0].points[0].residual_u_w",
		},
	} {
		places := numberPlaces(t, sheets[slug])
		for _, path := range paths {
			place, there := places[path]
			if !there {
				t.Errorf("%s: there is no number %s", slug, path)
				continue
			}
			changed := bytes.Clone(sheets[slug])
			changed[place] = '0' + (changed[place]-'0'+5)%10
			if d := differences(t, changed); len(d) != 1 || !strings.HasPrefix(d[0], path+": ") {
				t.Errorf("%s: %s was changed, named were %v", slug, path, d)
			}
		}
	}
}

// A changed sentence is named too.
func TestVerifyNamesAChangedEstimate(t *testing.T) {
	data := demoSheets(t)["fernklaxon-wharfmitten-2"]
	changed := bytes.Replace(data, []byte("Estimate, not measured"), []byte("Measured"), 1)
	if d := differences(t, changed); len(d) != 1 || !strings.HasPrefix(d[0], "claims[0].estimate.text: ") {
		t.Errorf("named were %v", d)
	}
}
