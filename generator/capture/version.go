package capture

// Version is raised whenever a figure may come out another than before, so that what was
// read by an earlier one is read again.
const Version = 2
