package formula

// comparing is what two units, or a list of them, are compared by.
func comparing() []Formula {
	return []Formula{
		{CarriedPair, "Carried to the conditions of two units", "Y = Σ P·(Vm/Vs)^k·(Rt/Rnom)^m, Vm = (V1 + V2)/2",
			[]Symbol{{"Y", "W", "total power that the unit may have given at the common conditions; a mean over its runs"}, power,
				{"Vs", "V", "supply voltage of the run"}, {"Vm", "V", "mean of the two units' supply voltages, taken as exact"}, {"V1, V2", "V", "the units' supply voltages, each a mean over its runs"}, loadAt, {"Rnom", "Ω", "the nominal load"},
				{"k", "1", "0 (regulated supply) … 2.6 (unregulated, with a fixed drop); each unit has its own"}, {"m", "1", "−1 (limited current) … +1 (constant voltage); each unit has its own"}},
			"as for a claim: P = V²/R with V in proportion to Vs − Vdrop", "Never published as a result. A unit whose supply was more than 10 % off Vm is not told apart."},
		{Difference, "Probability that one unit gives more", "p = P(Y1 > Y2) = F((y1 − y2)/u; ν)",
			[]Symbol{{"p", "1", "probability that the first unit gives more, at one corner of the conditions"}, {"Y1, Y2", "W", "what these powers may truly be"}, {"y1, y2", "W", "the units' total powers, carried to common conditions"},
				{"u", "W", "standard uncertainty of the difference; what both share, such as a load element, counts once and cancels as far as it is the same"}, dof,
				{"F", "", "distribution function of Student's t; normal where ν is infinite"}},
			"JCGM 106:2012, 7.3; JCGM 100:2008, 5.2.2, F.1.2 and G.4.1", "Two units are told apart where p is 0.95 at least, or 0.05 at most, at every corner."},
		{RankInterval, "Rank interval", "rank = 1 + b … n − w",
			[]Symbol{{"rank", "1", "the ranks that a unit may have"}, {"n", "1", "units in the list"}, {"b", "1", "units told apart as giving more"}, {"w", "1", "units told apart as giving less"}},
			"count of pairwise comparisons", "Each pair is compared by itself; the ranks are not a joint statement about all of them."},
	}
}
