// Package record turns the TOML files of a site into typed records and finds
// the place, file:line:column, of every mistake in them.
package record
