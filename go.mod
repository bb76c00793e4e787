module moldtally

go 1.26.0

require (
	codeberg.org/go-pdf/fpdf v0.12.0
	github.com/BurntSushi/toml v1.6.0
	github.com/fogleman/fauxgl v0.0.0-20250110135958-abf826acbbbd
	github.com/google/go-cmp v0.7.0
	github.com/hpinc/go3mf v0.24.2
	github.com/hschendel/stl v1.0.4
	github.com/qmuntal/gltf v0.28.0
	github.com/rogpeppe/go-internal v1.16.0
	github.com/spf13/cobra v1.10.2
	github.com/spf13/pflag v1.1.0
	golang.org/x/image v0.47.0
	golang.org/x/term v0.48.0
	golang.org/x/text v0.44.0
)

require (
	github.com/fogleman/simplify v0.0.0-20170216171241-d32f302d5046 // indirect
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	github.com/qmuntal/opc v0.7.10 // indirect
	golang.org/x/sys v0.50.0 // indirect
	golang.org/x/tools v0.52.0 // indirect
)
