package preview

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// silentKinds are file systems on which this machine isn't told of what others change: network shares, and folders of
// the system around a virtual one (common practice, no source).
var silentKinds = map[string]bool{
	"9p": true, "cifs": true, "smb3": true, "smbfs": true, "nfs": true, "nfs4": true, "fuse.sshfs": true, "virtiofs": true, "vboxsf": true, "prl_fs": true,
}

// warnOfMounts tells of watched folders on file systems of which changes may go unnoticed. Where the system has no list
// of them in this place, nothing is told.
func (p *preview) warnOfMounts() {
	table, err := os.ReadFile("/proc/self/mounts")
	if err != nil {
		return
	}
	for _, folder := range p.folders {
		if real, err := filepath.EvalSymlinks(folder); err == nil {
			folder = real
		}
		if kind := kindOf(string(table), folder); silentKinds[kind] {
			p.say.Trouble(fmt.Errorf("%s is on a file system of the kind %s, where changes may go unnoticed\nhint: --poll looks at all files again and again instead", filepath.ToSlash(folder), kind))
		}
	}
}

// kindOf finds the kind of file system that a folder is on in a table of mounts, as proc(5) describes it: in each line
// the device, the folder with odd characters in octal, the kind. Of the last that fit, the deepest holds the folder.
func kindOf(table, folder string) (kind string) {
	plain := strings.NewReplacer(`\040`, " ", `\011`, "\t", `\012`, "\n", `\134`, `\`)
	longest := -1
	for line := range strings.Lines(table) {
		fields := strings.Fields(line)
		if len(fields) < 3 {
			continue
		}
		at := strings.TrimSuffix(plain.Replace(fields[1]), "/")
		if below(folder, at) && len(at) >= longest {
			longest, kind = len(at), fields[2]
		}
	}
	return kind
}
