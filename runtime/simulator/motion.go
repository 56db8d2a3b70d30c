package simulator

import "math"

// stepS is the time step of the motion, in seconds.
const stepS = 0.001

// move is one straight move in the queue.
type move struct {
	from, delta  [2]int64   // steps
	length       float64    // mm
	share        [2]float64 // mm of each axis for a mm of the way
	acceleration float64    // mm/s² along the way
	rate         float64    // mm/s, what the axes and the stepping allow
	feed         float64    // mm/s, what was asked for
	rapid        bool       // no feed, as fast as the rate
	corner       float64    // v² that the corner before it allows, (mm/s)²
	entry        float64    // v² at its beginning from which the rest can still be met
}

// holdState is where a feed hold stands.
type holdState int

const (
	notHeld holdState = iota
	braking
	standing
)

// motion is the queue of moves and the one under way. It integrates in small
// time steps: in each the speed changes at most by acceleration × time, towards
// the largest from which the rest can still be met. Only the speeds at the
// ends of the queued moves are planned ahead.
type motion struct {
	set      *settings
	mech     *mechanism
	stepRate float64

	ring        []move
	head, count int
	time        float64    // seconds up to which it has run
	way, speed  float64    // mm along the move under way; mm/s
	steps       [2]int64   // where the motors stand by the board's count
	end         [2]int64   // where they will when the queue is empty
	direction   [2]float64 // share of the newest move
	hold        holdState

	fill  []float64 // seconds for which so many moves were in the queue, while moving
	dry   int       // how often the motion ended for want of moves
	began float64   // when the first move began; negative before
	ended float64   // when the last so far did
}

func newMotion(b Board, set *settings, mech *mechanism) *motion {
	return &motion{
		set: set, mech: mech, stepRate: b.StepRateHz,
		ring: make([]move, b.QueueMoves), fill: make([]float64, b.QueueMoves+1),
		began: -1,
	}
}

func (q *motion) at(i int) *move { return &q.ring[(q.head+i)%len(q.ring)] }

func (q *motion) full() bool { return q.count == len(q.ring) }

// moving reports whether the motors turn, or would but for a hold that is not
// complete.
func (q *motion) moving() bool { return q.count > 0 && q.hold != standing }

// add queues a move to a place, in steps, unless it is where the last one
// ends; the queue must not be full. The feed is in mm/s.
func (q *motion) add(to [2]int64, feed float64, rapid bool) {
	m := move{from: q.end, feed: feed, rapid: rapid}
	var mm [2]float64
	for a := range mm {
		m.delta[a] = to[a] - q.end[a]
		mm[a] = float64(m.delta[a]) / q.set[setStepsPerMM+a]
	}
	m.length = math.Sqrt(float64(mm[X]*mm[X]) + float64(mm[Y]*mm[Y]))
	if m.length == 0 {
		return
	}
	m.share = [2]float64{mm[X] / m.length, mm[Y] / m.length}
	m.acceleration = q.along(setAcceleration, m.share)
	m.rate = q.along(setRate, m.share) / 60
	for a, share := range m.share {
		if share != 0 {
			m.rate = min(m.rate, q.stepRate/(math.Abs(share)*q.set[setStepsPerMM+a]))
		}
	}
	if q.count > 0 {
		m.corner = q.cornerSpeedSquared(q.direction, m.share)
	}
	q.direction, q.end = m.share, to
	if q.count == 0 {
		q.way, q.speed = 0, 0
		if q.began < 0 {
			q.began = q.time
		}
	}
	q.count++
	*q.at(q.count - 1) = m
	q.plan(false)
}

// along is the largest rate or acceleration of both axes together, in a
// direction.
func (q *motion) along(setting int, direction [2]float64) float64 {
	limit := math.Inf(1)
	for a, share := range direction {
		if share != 0 {
			limit = min(limit, q.set[setting+a]/math.Abs(share))
		}
	}
	return limit
}

// cornerSpeedSquared is v² for a corner. An arc that touches both legs and
// passes the corner at a distance d has the radius d sin(θ/2)/(1 - sin(θ/2)),
// with θ the angle between the legs; on it the acceleration is v²/r, towards
// where the change of direction points. The board drives the true corner, with
// that speed.
func (q *motion) cornerSpeedSquared(in, out [2]float64) float64 {
	cosine := -(float64(in[X]*out[X]) + float64(in[Y]*out[Y]))
	if cosine > 1-1e-6 {
		return 0
	}
	half := math.Sqrt(max(0, (1-cosine)/2))
	if half > 1-1e-9 {
		return math.Inf(1)
	}
	turn := [2]float64{out[X] - in[X], out[Y] - in[Y]}
	length := math.Sqrt(float64(turn[X]*turn[X]) + float64(turn[Y]*turn[Y]))
	turn[X], turn[Y] = turn[X]/length, turn[Y]/length
	return q.along(setAcceleration, turn) * q.set[setCornerMM] * half / (1 - half)
}

// nominal is the speed of a move far from its ends.
func (q *motion) nominal(m *move) float64 {
	if m.rapid {
		return m.rate
	}
	return min(m.rate, m.feed)
}

// plan finds the speeds between moves, from the newest, after which the motors
// must stand, backwards. When only a move was added it ends where nothing
// changes any more.
func (q *motion) plan(whole bool) {
	exit := 0.0
	for i := q.count - 1; i > 0; i-- {
		m := q.at(i)
		slower := min(q.nominal(m), q.nominal(q.at(i-1)))
		entry := min(m.corner, float64(slower*slower), exit+float64(2*m.acceleration*m.length))
		if entry == m.entry && !whole && i < q.count-1 {
			return
		}
		m.entry = entry
		exit = entry
	}
}

// run lets time pass. With atBorder it returns when a move has ended or a hold
// is complete.
func (q *motion) run(until float64, atBorder bool) {
	for q.time < until {
		if !q.moving() {
			q.time = until
			return
		}
		left := until - q.time
		fill := q.count
		used, ended := q.integrate(min(stepS, left))
		q.fill[fill] += used
		if used == left {
			q.time = until
		} else {
			q.time += used
		}
		q.follow()
		if ended {
			q.mech.trail.turn()
			q.way = 0
			q.head = (q.head + 1) % len(q.ring)
			q.count--
			if q.count == 0 {
				q.dry++
				q.ended = q.time
				q.speed = 0
				if q.hold == braking {
					q.hold = standing
				}
			}
		}
		if atBorder && (ended || q.hold == standing) {
			return
		}
	}
}

// integrate does one time step on the move under way, or less when the move
// ends before. It gives the seconds used.
func (q *motion) integrate(seconds float64) (used float64, ended bool) {
	m := q.at(0)
	a, v := m.acceleration, q.speed
	left := m.length - q.way
	if q.hold == braking {
		return q.brake(a, left, seconds)
	}
	// A short move from rest to rest takes 2√(L/a): many steps of that.
	seconds = min(seconds, math.Sqrt(m.length/a)/16)
	exit := 0.0
	if q.count > 1 {
		exit = q.at(1).entry
	}
	change := float64(a * seconds)
	next := max(min(v+change, q.nominal(m)), v-change, 0)
	// With a steady change of speed in this step, what is left after it is
	// left - (v + next)/2·t, and next² may be at most exit² + 2 a times that.
	root := float64(change*change/4) + exit + float64(2*a*left) - float64(v*change)
	last := math.Sqrt(exit)
	limit := -1.0
	if root > 0 {
		limit = math.Sqrt(root) - float64(change/2)
	}
	if limit < last && next > last {
		// The end is nearer than one step, and comes at its own speed.
		if v > last {
			last = max(last, math.Sqrt(max(0, float64(v*v)-float64(2*a*left))))
		} else {
			last = min(last, math.Sqrt(float64(v*v)+float64(2*a*left)))
		}
		q.speed = last
		q.way = m.length
		return min(seconds, timeFor(left, v, last)), true
	}
	if limit >= last {
		next = max(min(next, limit), v-change, 0)
	}
	way := float64((v + next) / 2 * seconds)
	if way >= left {
		rate := (next - v) / seconds
		last = math.Sqrt(max(0, float64(v*v)+float64(2*rate*left)))
		q.speed = last
		q.way = m.length
		return min(seconds, timeFor(left, v, last)), true
	}
	q.way += way
	q.speed = next
	return seconds, false
}

// timeFor is how long a way takes while the speed changes steadily. A move that
// stands at its very end takes none.
func timeFor(way, from, to float64) float64 {
	if way <= 0 {
		return 0
	}
	return 2 * way / (from + to)
}

// brake is a time step of a hold: to a stand as fast as the axes allow, on the
// path.
func (q *motion) brake(a, left, seconds float64) (used float64, ended bool) {
	v := q.speed
	next := v - float64(a*seconds)
	used = seconds
	if next <= 0 {
		next, used = 0, v/a
	}
	way := float64((v + next) / 2 * used)
	if v > 0 && way >= left {
		q.speed = math.Sqrt(max(0, float64(v*v)-float64(2*a*left)))
		q.way += left
		return min(used, timeFor(left, v, q.speed)), true
	}
	q.way += way
	q.speed = next
	if next == 0 {
		q.hold = standing
		q.ended = q.time + used
	}
	return used, false
}

// follow turns the motors to the whole steps nearest to the place on the path.
func (q *motion) follow() {
	m := q.at(0)
	part := min(1, q.way/m.length)
	var turn [2]int64
	for a := range turn {
		turn[a] = m.from[a] + int64(math.Round(float64(m.delta[a])*part)) - q.steps[a]
		q.steps[a] += turn[a]
	}
	if turn != [2]int64{} {
		q.mech.turn(turn, [2]float64{m.share[X] * q.speed, m.share[Y] * q.speed}, q.time)
	}
}

// halt begins a hold.
func (q *motion) halt() {
	if q.hold != notHeld {
		return
	}
	q.hold = braking
	if q.count == 0 || q.speed == 0 {
		q.hold = standing
	}
}

// resume ends a hold.
func (q *motion) resume() { q.hold = notHeld }

// drop empties the queue where the motors stand.
func (q *motion) drop() {
	q.mech.trail.turn()
	q.head, q.count = 0, 0
	q.way, q.speed = 0, 0
	q.end = q.steps
	q.hold = notHeld
}

// coastS is the longest time that the motors coast, in seconds.
const coastS = 0.1

// kill stops at once, without braking. The motors coast on, unknown to the
// board, as far as braking four times as hard would take, at most for a time.
func (q *motion) kill() {
	if q.count > 0 && q.speed > 0 {
		m := q.at(0)
		coast := min(float64(q.speed*q.speed)/(8*m.acceleration), q.speed*coastS/2)
		var turn [2]int64
		for a := range turn {
			turn[a] = int64(math.Round(float64(coast*m.share[a]) * q.set[setStepsPerMM+a]))
		}
		q.mech.turn(turn, [2]float64{}, q.time)
		q.ended = q.time
	}
	q.drop()
}
