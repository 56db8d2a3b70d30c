package value

import "wend/lang/types"

// Bytes that values take beside what they hold, rounded up.
const (
	boxBytes   = 48
	itemBytes  = 16
	pointBytes = 16
)

// Holder is a function value that keeps other values.
type Holder interface{ Held() []Value }

// Size is how many bytes v keeps in memory, without those that an earlier call
// with the same epoch has counted. Epochs are 1 and up.
func (v Value) Size(epoch uint32) int {
	if v.box == nil || v.box == boolBox || v.box == nothingBox || v.box.epoch == epoch {
		return 0
	}
	v.box.epoch = epoch
	size := boxBytes
	switch v.box.kind {
	case types.Text:
		size += len(v.Text()) + 4*cap(v.box.data.(*text).starts)
	case types.Path:
		size += pointBytes * cap(v.Path().Points)
	case types.List:
		held := v.box.data.(*items)
		list := held.list
		if held.whole != nil {
			if held.whole.epoch == epoch {
				return size
			}
			held.whole.epoch, list = epoch, held.whole.list
		}
		size += itemBytes * cap(list)
		for _, item := range list {
			size += item.Size(epoch)
		}
	case types.Record:
		values := v.Fields().values
		size += itemBytes * (cap(values) + 4)
		for _, item := range values {
			size += item.Size(epoch)
		}
	case types.Image:
		size += v.Image().Bytes()
	case types.Function:
		if holder, ok := v.box.data.(Holder); ok {
			for _, held := range holder.Held() {
				size += held.Size(epoch)
			}
		}
	}
	return size
}
