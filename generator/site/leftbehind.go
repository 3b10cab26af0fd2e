package site

// LeftBehind reports whether a file or folder of this name is an editor's backup, a file manager's note, or hidden: the
// content is read as if it weren't there.
func LeftBehind(name string) bool { return leftBehind(name) }
