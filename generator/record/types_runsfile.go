package record

// A RunsFile says how the file runs.csv beside the record is read: its rows are runs
// like those of [[run]].
type RunsFile struct {
	Place
	Separator    string       `toml:"separator" one:"comma|semicolon|tab" else:"comma" about:"what stands between two cells of runs.csv"`
	DecimalComma bool         `toml:"decimal_comma" about:"true when numbers have a comma where others have a point"`
	HeadLine     Number       `toml:"head_line" min:"0" max:"1000" else:"1" about:"the line of the columns' heads; what stands before it is passed over; 0: there is none"`
	UTCOffset    string       `toml:"utc_offset" form:"name" about:"the time zone's offset of times that are written without, as in +01:00"`
	Columns      []RunsColumn `toml:"column" need:"yes" about:"which column holds what"`
}

// A RunsColumn says what a column of runs.csv holds, or what every row has in common.
// Several columns of one key are the channels' or the loads', in this order.
type RunsColumn struct {
	Place
	Key    string `toml:"key" need:"yes" one:"id|method|load|load_ohm|driven|power_w|out_v|thdn_pct|supply_v|supply_a|supply_w|freq_hz|load_c|ambient_c|warm_up_min|lasted_s|at|outcome|invalid|capture|from_s|to_s|capture_as|remarks|video|hold|with.power_w|with.out_v|with.thdn_pct|with.supply_v|with.supply_a|with.supply_w|with.load_c|read_as.power_w|read_as.out_v|read_as.supply_v|read_as.supply_a" about:"the key of [[run]] that the column is for"`
	Head   string `toml:"head" form:"name" about:"the column's head in runs.csv"`
	Number Number `toml:"number" min:"1" max:"1000" about:"the column's number from 1, where it has no head"`
	Is     string `toml:"is" form:"name" about:"what every row has, where no column says it"`
	Unit   string `toml:"unit" form:"name" about:"the unit of the column's numbers, where it isn't the key's: mV, kW, mA"`
}
