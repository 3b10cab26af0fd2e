package verdict

// A Flip is the smallest change that would change a verdict.
type Flip struct {
	// Shift is the change of the mean in W, uncertainty kept, common to all
	// channels and corners: negative is down. Of no meaning where ShiftTo is empty.
	Shift float64
	// ShiftTo is the verdict beyond it; empty where no shift changes the verdict.
	ShiftTo Word
	// Scale is the factor on U, means kept, common to all channels and corners. Of
	// no meaning where ScaleTo is empty.
	Scale float64
	// ScaleTo is the verdict beyond it; empty where no scaling changes the verdict.
	ScaleTo Word
}

// A CornerResult is the verdict at one corner of the conditions.
type CornerResult struct {
	K, M    float64 // exponents of supply and load
	Verdict Word
	// PMin and PMax span P(Y >= L) of the weakest channel: equal where runs stand
	// at the claim's distortion.
	PMin, PMax float64
	// Weakest is the channel that decides at this corner, and Y, U and DoF its
	// estimate here: mean and standard uncertainty in W, degrees of freedom. Of runs
	// on one side of the claim's distortion it is the one that speaks.
	Weakest   int
	Y, U, DoF float64
}
