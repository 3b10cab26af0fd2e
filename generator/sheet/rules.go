package sheet

import (
	"wattsheet/generator/quantity"
	"wattsheet/generator/record"
	"wattsheet/generator/verdict"
)

// usualRules are the decision rules in common use, from the most lenient to the
// strictest. Simple acceptance has no guard band (ILAC-G8:09/2019, 4.2.1). Guarded
// acceptance and rejection (JCGM 106:2012, 8.3) keep a band of t(0.95; ν)·u, 95 % on
// one side, as ISO 14253-1:2017 does by default (that it does: from memory), or of U
// (ILAC-G8:09/2019, 4.2.2): U is k·u with k = t(0.975; ν), so 97.5 % on one side.
var usualRules = []RuleSays{
	usualRule("simple", "simple acceptance",
		"No guard band: met where the mean reaches the limit, else short. Close to the limit either can be wrong with a probability of up to 50"+nbsp+"%.",
		"ILAC-G8:09/2019, 4.2.1; JCGM 106:2012, 8.2"),
	usualRule("guarded", "guarded, 95"+nbsp+"%",
		"Met only where the claim is missed with a probability of at most 5"+nbsp+"%, short only where it holds with a probability of at most 5"+nbsp+"%; between, it stays open.",
		"JCGM 106:2012, 8.3; the default of ISO 14253-1:2017"),
	usualRule("guarded-by-U", "guard band U, 97.5"+nbsp+"%",
		"Met only where the mean lies above the limit by the whole expanded uncertainty U, short only where it lies as far below: either is wrong with a probability of at most 2.5"+nbsp+"%. Between, it stays open.",
		"ILAC-G8:09/2019, 4.2.2"),
}

func usualRule(acceptance, name, means, source string) RuleSays {
	metFrom, shortTo, _ := record.AcceptanceBounds(acceptance)
	return RuleSays{Acceptance: acceptance, Name: name, Rule: verdict.Rule{MetFrom: metFrom, ShortTo: shortTo}, Means: means, Source: source}
}

// RuleOf is a site's rule: one of the usual ones, or its own with what it means.
func RuleOf(site *record.Site) RuleSays {
	rule := ruleOf(site)
	for _, usual := range usualRules {
		if usual.Rule == rule {
			usual.Own = true
			return usual
		}
	}
	percent := func(p float64) string { return quantity.Float(100*p) + nbsp + "%" }
	return RuleSays{
		Name: "the site's own, " + percent(rule.MetFrom), Rule: rule, Own: true,
		Means: "Met only where the claim is missed with a probability of at most " + percent(1-rule.MetFrom) +
			", short only where it holds with a probability of at most " + percent(rule.ShortTo) + "; between, it stays open.",
		Source: "JCGM 106:2012, 8.3",
	}
}

func ruleOf(site *record.Site) verdict.Rule {
	return verdict.Rule{MetFrom: site.Rule.MetFrom.Value, ShortTo: site.Rule.ShortTo.Value}
}
