package preview

import "testing"

// The lines are made after the description in proc(5) and fstab(5): octal for blanks, a later line over an earlier one.
func TestKindOfFileSystem(t *testing.T) {
	const table = `/dev/vda1 / ext4 rw,relatime 0 0
proc /proc proc rw 0 0
server:/share /mnt/bench nfs4 rw 0 0
//server/x /mnt/my\040records cifs rw 0 0
tmpfs /mnt/bench/local tmpfs rw 0 0
odd
C:\134 /mnt/c 9p rw 0 0
tmpfs /over ext4 rw 0 0
host /over virtiofs rw 0 0
`
	for folder, want := range map[string]string{
		"/home/x/content": "ext4", "/mnt/bench/content": "nfs4", "/mnt/bench": "nfs4", "/mnt/bench2": "ext4", "/mnt/bench/local/a": "tmpfs",
		"/mnt/my records/content": "cifs", "/mnt/c/content": "9p", "/over/content": "virtiofs",
	} {
		if got := kindOf(table, folder); got != want {
			t.Errorf("%s is on %q, want %q", folder, got, want)
		}
	}
	if got := kindOf("", "/x"); got != "" {
		t.Errorf("without a table: %q", got)
	}
}
