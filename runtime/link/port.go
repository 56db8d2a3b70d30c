package link

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"
	"time"

	"go.bug.st/serial"

	"wend/lang/diag"
)

// readTimeout is how long reading a port waits when nothing comes: how late a
// key may be noticed.
const readTimeout = 10 * time.Millisecond

// OpenPort opens a serial port, 8 data bits, no parity, 1 stop bit, without
// flow control. Its Read waits a little and then gives nothing, without an
// error. Faults are *diag.Fault.
//
// No status bits are set: a pseudo-terminal has none, and the system's own
// choice when a port is opened is what resets a board.
func OpenPort(name string, baud int) (io.ReadWriteCloser, error) {
	lock, err := lockPort(name)
	if err != nil {
		return nil, portFault(name, err)
	}
	port, err := serial.Open(name, &serial.Mode{BaudRate: baud})
	if err != nil {
		lock.Close()
		return nil, portFault(name, err)
	}
	if err := port.SetReadTimeout(readTimeout); err != nil {
		return nil, errors.Join(portFault(name, err), port.Close(), lock.Close())
	}
	return &lockedPort{port, lock}, nil
}

// lockedPort is a port that no other process may open.
type lockedPort struct {
	serial.Port
	lock *os.File
}

func (p *lockedPort) Close() error {
	err := p.Port.Close()
	p.lock.Close() // nil where nothing is locked
	return err
}

func portFault(name string, err error) error {
	fault := func(code diag.Code) error { return &diag.Fault{Code: code, Args: diag.Args{"port": name}} }
	var port *serial.PortError
	if errors.As(err, &port) {
		switch port.Code() {
		case serial.PortBusy:
			return fault("port-busy")
		case serial.PortNotFound:
			return fault("port-missing")
		case serial.PermissionDenied:
			return fault("port-permission")
		}
	}
	switch {
	case errors.Is(err, ErrLocked), errors.Is(err, syscall.EBUSY):
		return fault("port-busy")
	case errors.Is(err, os.ErrNotExist):
		return fault("port-missing")
	case errors.Is(err, os.ErrPermission):
		return fault("port-permission")
	}
	return &diag.Fault{Code: "port-failed", Args: diag.Args{"port": name, "reason": err.Error()}}
}

// PortName is a serial port, and where there is one, its lasting name: the
// device's own, which does not change with the order of plugging in.
type PortName struct {
	Name    string `json:"name"`
	Lasting string `json:"lasting,omitempty"`
}

// Ports lists the serial ports of this computer. On Linux those that the system
// keeps a place for without a device behind are left out.
func Ports() ([]PortName, error) {
	names, err := serial.GetPortsList()
	if err != nil {
		return nil, &diag.Fault{Code: "port-failed", Args: diag.Args{"port": "the list of ports", "reason": err.Error()}}
	}
	slices.Sort(names)
	lasting := map[string]string{}
	if runtime.GOOS == "linux" {
		const byID = "/dev/serial/by-id"
		entries, _ := os.ReadDir(byID) // not there when nothing is plugged in
		for _, e := range entries {
			link := filepath.Join(byID, e.Name())
			if target, err := filepath.EvalSymlinks(link); err == nil {
				lasting[target] = link
			}
		}
	}
	ports := make([]PortName, 0, len(names))
	for _, name := range slices.Compact(names) {
		ports = append(ports, PortName{Name: name, Lasting: lasting[name]})
	}
	return ports, nil
}
