// Package charts draws a sheet: still SVG that is read without script, the table
// of exactly the points drawn, and the options of the live chart that takes the
// still's place when it is seen. It draws figures that the sheet has and computes
// none; only their scale changes (watts as dBW).
package charts
