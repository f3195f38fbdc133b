# Texts of cut sheets and field page in English: see crates/sheets/src/tongue.
# A message with a value is a text of the sheets, one with attributes a family of phrases.
# In a phrase, what stands in $name stays as typed, $figure begins with a figure; every other hole may be a phrase.


## Checks: what their findings say

acid-soil =
    .message = The { $what } can corrode at pH { $figure }.
    .others = { $what }, and { $figure } others,
    .one-other = { $what }, and one other,
    .title = Concrete or metal in acid soil
    .advice = Where it is old tile, draw new plastic pipe in its place.
    .remedy = Use plastic for the new pipe

adverse-grade =
    .message = { $name } rises toward the outlet between { $figure-above } and { $figure-below } ({ $figure }). Water would stand there.
    .title = { $name } runs uphill toward the outlet

along-bank =
    .message = { $figure } of { $name } run within { $figure-near } of { $what }: the bank slumps, and water runs straight from ditch to pipe.
    .title = { $name } runs beside a ditch

bank-unprotected =
    .message = The bank at { $name } can wash out: { $why }.
    .title = The bank at { $name } is bare
    .remedy = Armor the bank at { $name } or let the pipe clear it

batch-shift =
    .message = Batch { $name } sits { $figure } { $sits } than { $what } over { $figure-shots } shots, with a scatter of { $figure-scatter }. Different datum, antenna or canopy?
    .title-high = Batch { $name } sits high
    .title-low = Batch { $name } sits low

below-clean-grade =
    .message = { $name } { $place }: { $figure } is flatter than { $figure-least } for { $figure-pipe } pipe.
    .title = { $name } is too flat to keep itself clean

below-silt-grade =
    .message = The soil is { $texture }; at { $figure } the { $figure-pipe } pipe of { $name } will not carry its own silt, { $figure-wanted } would ({ $figure-of } of it).
    .title = Silt will settle in { $name }
    .remedy-trap = Put a silt trap on { $name } at { $figure }
    .remedy-narrow = Use narrow slots and put a silt trap on { $name } at { $figure }

below-vineyard-guide =
    .message = { $figure } of { $name } is flatter than the guide's { $figure-wanted }.
    .title = { $name } is flatter than the vineyard guide

beside-footing =
    .message = The trench of { $name } undermines { $what } at { $figure }: it lies { $figure-below } below what that allows.
    .title = { $name } undermines { $what }
    .advice = Or have an engineer say what the ground bears, and accept this by name.

beyond-machine =
    .message = The trench of { $name } is { $figure } deep at { $figure-at }: beyond the machine, which reaches { $figure-reach }.
    .title = { $name } is deeper than the machine digs
    .advice = Hire a machine that digs to { $figure }

blinding-missing =
    .message = The backfill has { $name }, and nothing soft is asked for over the pipe.
    .title = Nothing soft is asked for over the pipe
    .remedy = Ask for at least { $figure } of stone-free soil over the pipe first

boundary-crosses =
    .message-tangle = The rings of the boundary cross or come back to themselves again and again, once near { $corner }.
    .title-tangle = Boundary is a tangle
    .message-itself = { $what } crosses itself or runs over itself near { $corner }: { $figure } are in or out as one takes it.
    .title-itself = { $what } crosses itself
    .message-outside = { $figure } of { $what } lie outside the boundary, near { $corner }, and are taken off the field all the same.
    .title-outside = { $what } reaches outside
    .message-overlap = { $what } and { $other } overlap near { $corner }: { $figure } are taken off the field twice.
    .title-overlap = { $what } and { $other } overlap
    .advice = Draw the boundary anew, or bring it in again from its file.

box-holds-water =
    .message = The box on { $name } at { $figure } would hold { $figure-holds } of water in the pipe.
    .title = A box holds water
    .remedy = Let the box at { $figure } of { $name } out at { $figure-level }

box-in-traffic =
    .message = The box on { $name } at { $figure } stands in a lane with its lid { $figure-lid } down; wanted { $figure-wanted }.
    .title = A box stands in a lane
    .remedy = Set the lid of the box at { $figure } of { $name } { $figure-down } down

crosses-unjoined =
    .message = { $name-one } crosses { $name-other } at { $figure }, and nobody has said whether they are joined.
    .message-level = { $name-one } crosses { $name-other } at { $figure }, inverts at one level, and nobody has said whether they are joined.
    .message-apart = { $name-one } crosses { $name-other } at { $figure }, inverts { $figure-apart } apart, and nobody has said whether they are joined.
    .title = { $name-one } crosses { $name-other } without a joint
    .remedy = Say that { $name-one } and { $name-other } cross apart
    .advice = If they are to be joined, end one of them on the other.

crossing-clearance =
    .message = Only { $figure } between { $name-one } and { $name-other } where they cross at { $figure-at }; wanted { $figure-wanted }.
    .message-into = { $name-one } and { $name-other } run into each other where they cross at { $figure-at }.
    .title = { $name-one } and { $name-other } cross too closely

cut-untreated =
    .message = Old tile was found in the trench of { $name } at { $figure }, and nobody has decided what becomes of the cut pipe.
    .title = Old tile is cut at { $figure }
    .advice = Keep it open, and choose what is done with it: the five choices stand with the find.
    .message-cuts = { $name } cuts old tile { $name-old } at { $figure }, and nobody has decided what becomes of the cut pipe.
    .title-cut = Old tile { $name } is cut
    .remedy = Decide on old tile { $name }: { $choice }

dam-or-levee =
    .message-crosses = { $name } crosses { $what } at { $figure }, which holds water; soil can be carried out.
    .message-near = { $name } is { $figure } from { $what } at { $figure-at }, which holds water; soil can be carried out.
    .title = { $name } comes near a bank that holds water
    .advice = Have the crossing designed, and accept this by name once it is.

differs-from-plan =
    .message = { $name } was laid otherwise than planned: { $what }.
    .title = { $name } was laid in other pipe than planned
    .advice = Enter why and who agreed, and set the plan's pipe to what was laid: then it is sized anew.

duplicate-line =
    .message = { $name-one } and { $name-two } lie in one trench for { $figure } ({ $name-one } { $place }).
    .title = { $name-one } and { $name-two } lie in one trench

duplicate-points =
    .message-one = 1 pair of shots disagrees by { $figure }: { $names }.
    .message = { $figure } pairs of shots disagree by up to { $figure-most }: { $names }.
    .title = Shots in one place disagree

elsewhere =
    .message = { $file } says that it is in { $stated }; the plan has { $named } for it.
    .title = Plan and ground are in different coordinate systems
    .advice = Bring in the ground that the plan was made on; accept this by name where the file is known to be wrong.
    .message-none = No new line lies over the ground of the plan.
    .message-away = No new line lies over the ground of the plan; { $name } begins { $figure } away from it.
    .title-places = Plan and land are from different places
    .advice-places = Bring in the ground of this field, or draw the lines on the ground that is there.

enters-low =
    .title = { $name } enters { $name-main } too low
    .message = { $name } enters { $name-main } { $figure } too low.
    .remedy = Let { $name } start at the center of { $name-main }

first-flow =
    .message = No flow was logged since { $figure }, when the digging was finished.
    .title = Nobody has logged how the outlets run
    .advice = Look at the outlets after rain and enter what runs.

flat-to-steep-no-vent =
    .message = { $name } steepens from { $figure } to { $figure-to } at { $figure-at }: it can pull a vacuum.
    .title = { $name } steepens without a breather

flood-backwater =
    .message = In a flood to { $figure } at { $name } the lowest { $figure-stand } stand full.
    .title = A flood backs up from { $name }
    .advice = Short floods do little harm; keep laterals above them where you can.
    .message-unknown = How far a flood backs up into { $name } cannot be said: its flood level is not entered.
    .title-unknown = Flood level at { $name } is not known
    .advice-unknown = Ask, or look for marks, and enter the level.

found-not-recorded =
    .message = The old line found lacks { $lacks }.
    .message-at = The old line found at { $figure } of { $name } lacks { $lacks }.
    .title = The find is not recorded
    .title-at = The find at { $figure } of { $name } is not recorded
    .advice = Add it while the trench is open.

grade-below-survey =
    .message = { $name } { $place } falls { $figure }, less than twice the survey's error of { $figure-error }.
    .message-one = { $name } { $place } falls { $figure }, less than twice the survey's error of { $figure-error }, and so does one other reach.
    .message-more = { $name } { $place } falls { $figure }, less than twice the survey's error of { $figure-error }, and so do { $figure-more } other reaches.
    .assumed = That error is assumed: nobody has held the lidar against levels.
    .title = { $name } falls less than the survey can tell
    .advice = Level it before digging: shots on the line, no farther apart than { $figure }.

grade-change =
    .remedy = Put a { $structure } on { $name } at { $places }

grade-eases-downstream =
    .message = { $name } flattens from { $figure } to { $figure-to } at { $figure-at }; silt will drop there.
    .title = { $name } flattens downstream

ground-unread =
    .message = { $file }, the ground of this plan, was not read: depth, cover, swales and the land that drains are not known, and only locked levels stand.
    .title = The ground is not read
    .advice = Put the file where the plan names it, or bring the ground in again.
    .message-left = { $file } is left out: { $why }. The ground is another without its levels.
    .title-file = { $file } is not read
    .advice-left = Put the file where the plan names it, or take it out of the survey.

hand-dig =
    .message-one = 1 place to dig by hand, { $figure } either side of the mark.
    .message = { $figure-count } places to dig by hand, { $figure } either side of the mark.
    .title = Dig by hand at buried lines
    .advice = Tell the crew; the sheets show them.

hedge =
    .message = { $figure } of { $name } run along { $what } from { $figure-from } to { $figure-to }.
    .message-at = { $figure } of { $name } run along { $what } at { $figure-at }.
    .title = { $name } runs along a hedge

high-drop =
    .message = { $name } falls { $figure } where it joins { $name-main }.
    .title = { $name } enters { $name-main } from high above
    .remedy = Put a riser bend at the end of { $name }

inlet-blowout-silt =
    .message-both = The open inlet at { $figure } of { $name-line } can overload and silt { $name }.
    .message-overload = The open inlet at { $figure } of { $name-line } can overload { $name }.
    .message-silt = The open inlet at { $figure } of { $name-line } can silt { $name }.
    .message-here-both = The open inlet at { $figure } can overload and silt { $name }.
    .message-here-overload = The open inlet at { $figure } can overload { $name }.
    .message-here-silt = The open inlet at { $figure } can silt { $name }.
    .title = An inlet can harm { $name }
    .remedy-both = Fit an orifice and a trap at { $figure } of { $name }
    .remedy-orifice = Fit an orifice at { $figure } of { $name }
    .remedy-trap = Fit a trap at { $figure } of { $name }
    .remedy-riser = Use a riser of { $figure-size } and a trap at { $figure } of { $name }

inlet-not-sized =
    .message = The open inlet of { $name } at { $figure } brings storm water from { $figure-area }, counted with { $figure-counted }; wanted { $figure-wanted }.
    .title = An inlet of { $name } is sized for soil water
    .remedy-count = Count { $figure } at the inlet at { $figure-at } of { $name }
    .remedy-blind = Make the inlet at { $figure } of { $name } blind

interceptor-off-layer =
    .message-below = { $name } lies { $figure } below the top of the tight layer at { $figure-at }.
    .message-only = { $name } is only { $figure } into the tight layer at { $figure-at }, wanted { $figure-wanted }.
    .message-above = { $name } is { $figure } above the tight layer at { $figure-at }, wanted { $figure-wanted } into it.
    .message-pass = { $name } is { $figure } above the tight layer at { $figure-at }; water can pass below.
    .title = { $name } is off the tight layer
    .remedy-into = Hold { $name } { $figure } into the tight layer
    .remedy-on = Hold { $name } on the tight layer

irrigation-depth =
    .message = { $name } crosses { $what } of unknown depth at { $figure }.
    .title = { $name } crosses an irrigation main
    .advice = Find out how deep it lies, and enter it.

join-unknown-tile =
    .message = The condition of old tile { $name } is unknown, and { $names } is joined to it.
    .message-are = The condition of old tile { $name } is unknown, and { $names } are joined to it.
    .title = Nobody has looked into old tile { $name }
    .advice = Look inside before joining, and enter its condition.

joint-against-flow =
    .message = { $name } points { $figure } against the flow of { $name-main }.
    .title = { $name } enters { $name-main } against the flow
    .remedy = Turn the end of { $name } downstream into a wye

lane-crossing =
    .message = { $name } crosses { $what } from { $figure } to { $figure-to }, a public road, without the road authority's permission.
    .title-permission = { $name } crosses { $what } without permission
    .advice = Ask the road authority, and enter its permission.
    .message-weak = { $name } crosses { $what } from { $figure } to { $figure-to } in pipe that is not solid and heavy.
    .title = { $name } crosses { $what }

level-reach =
    .message = { $name } is nearly level { $place }: { $figure } where the pipe wants { $figure-wanted }.
    .title = { $name } is nearly level

levels =
    .unlock-all = Unlock the { $figure } locked levels of { $name }
    .unlock = Unlock the level at { $figure } of { $name }
    .raise-level = Raise the level at { $figure } of { $name } by { $figure-by }
    .lower-level = Lower the level at { $figure } of { $name } by { $figure-by }
    .raise-levels = Raise the { $figure-count } levels locked from { $figure } to { $figure-to } of { $name } by { $figure-by }
    .lower-levels = Lower the { $figure-count } levels locked from { $figure } to { $figure-to } of { $name } by { $figure-by }
    .release-grade = Release the grade held from { $figure } to { $figure-to } of { $name }
    .release-depth = Release the depth held from { $figure } to { $figure-to } of { $name }
    .raise = Raise { $name } by { $figure }
    .lower = Lower { $name } by { $figure }
    .free = Let the program choose the invert of { $name }

line-gap =
    .message-ends = { $what } ends on { $name-other } without joining it.
    .message-stops = { $what } stops { $figure } short of { $name-other }.
    .title = { $name } is not joined to { $name-other }
    .title-close = { $name } ends close to { $name-other }
    .remedy = Join { $name } to { $name-other }
    .advice = If the two belong together, draw them as one line or join them.

long-main-no-vent =
    .message = { $figure } of { $name } has no vent; one every { $figure-limit } is wanted.
    .title = { $name } is long without a vent

loop-closure =
    .message = Level loop { $name } misses by { $figure } over { $figure-over }; { $figure-allowed } is allowed.
    .title = Level loop { $name } does not close
    .advice = Run it again, or adjust it, and enter the level that it carries then.

low-coefficient =
    .message = { $figure } is below the usual { $usual } for { $soil }.
    .title = The drainage coefficient is low
    .remedy = Use a drainage coefficient of { $figure }

low-water-unknown =
    .message = The level of { $name } is a guess until low water is measured.
    .title = Low water at { $name } is not known
    .advice = Measure it in the wet season and enter it.

main-in-waterway =
    .message = { $figure } of { $name } lie where the channel erodes.
    .title = { $name } lies in the waterway

many-breaks =
    .message = The operator must change grade { $figure } times in { $figure-length } of { $name }.
    .title = { $name } changes grade often

mixed-datum =
    .message-both = { $what } and { $other } are both in use.
    .message = { $what } are in use.
    .title = Levels count from two datums
    .advice = Bring all levels to one of them, and enter it for each.

must-be-solid =
    .message = { $name } must be solid { $place } and is perforated there.
    .title = { $name } is perforated where it must be solid
    .remedy = Take back that { $name } must be solid { $place }

near-wetland =
    .message-plugs = { $name } passes { $what } in solid pipe without clay plugs { $place }; water can run along the trench.
    .title-plugs = { $name } passes { $what } without plugs
    .message-within = { $figure } of { $name } may drain { $what }: they lie within its setback of { $figure-setback }.
    .message-near = { $figure } of { $name } may drain { $what }: they lie near it and no setback is entered.
    .advice = Get the determination, and enter the setback.
    .title = { $name } may drain { $what }
    .effect = With { $soil } it lowers the table by { $figure } in { $figure-days } days out to about { $figure-about } ({ $figure-from } to { $figure-to }): an estimate after van Schilfgaarde, no determination.
    .remedy = Put clay plugs at the ends of the solid pipe of { $name } { $place }

nearly-full =
    .message = { $name } is up to { $figure } full, { $place } ({ $figure-share } of { $figure-of }): no room for a later tie-in.
    .title = { $name } is nearly full

neighbour-effect =
    .title = Drains near a neighbor's boundary
    .advice = Ask the neighbor, and enter that he agreed.
    .title-own = Drains near the boundary
    .advice-own = Mark the neighbor's side, and enter that he agreed.
    .message = { $figure } of pipe may lower water across the boundary.

no-animal-guard =
    .message = { $name } is open to animals.
    .title = { $name } has no guard
    .remedy = Put a guard that opens on { $name }

no-area =
    .message = Nothing is set to drain into { $name }.
    .title = No land drains into { $name }
    .remedy = Let { $name } drain the strip beside it
    .remedy-carrier = Make { $name } a carrier
    .advice = If it drains land of its own, enter the area.

no-end-cap =
    .message = The top of { $name } is open and soil will wash in.
    .title = The top of { $name } is open
    .remedy = Put the cap back on { $name }

no-ground =
    .message = { $figure } of { $name } lie over unknown ground, { $places }.
    .advice = Bring in ground that reaches so far, or levels taken there, or keep the line on the ground.
    .advice-none = Bring the ground in.
    .title = { $name } lies over unknown ground

no-outlet =
    .message = { $name } goes nowhere.
    .message-one = { $name } goes nowhere, and one line drains into it.
    .message-more = { $name } goes nowhere, and { $figure } lines drain into it.
    .title = { $name } goes nowhere
    .advice = Place an outlet at its lower end, or join it to a line that has one.
    .message-old = { $names } drains into old tile { $name }; its outlet is not known.
    .message-old-more = { $names } drain into old tile { $name }; its outlet is not known.
    .title-old = Nobody knows where old tile { $name } comes out
    .advice-old = Find where { $name } comes out, place that outlet and join { $name } to it; or join new pipe only to a line that has one.

no-soil-data =
    .message-one = 1 line has no soil: nobody has dug a pit.
    .message = { $figure } lines have no soil: nobody has dug a pit.
    .title = A grid without a soil pit
    .advice = Dig a pit before buying pipe, and enter what it shows.

off-design =
    .message = { $name } lies { $figure } { $side } the plan at { $figure-at }: { $figure-found } for { $figure-planned }; { $figure-limit } is allowed.
    .title = { $name } was not laid as planned at { $figure }
    .advice = Relay it and shoot it again, or accept it and regrade what is not dug.

off-swale =
    .message = The low ground is up to { $figure } to the { $side } of { $name }, { $place }.
    .title = { $name } misses the low ground

old-tile-as-main =
    .message-one = A new line leads into old { $what } { $name }.
    .message = { $figure } new lines lead into old { $what } { $name }.
    .poor = Old { $what } is a poor main.
    .title = Old { $what } { $name } serves as a main
    .advice = Draw a new main beside it, and join the new lines to that.

old-tile-low =
    .message = { $name-old } would stand { $figure } below the center of { $name }.
    .title = Old tile { $name-old } enters { $name } too low
    .remedy = Bridge { $name } and do not join it

old-tile-uncounted =
    .message = { $name-old } joins { $name } and drains an unknown area.
    .title = The water of { $name } is not counted
    .advice = Estimate it, and enter it with the old tile.

on-ridge =
    .message = { $name } runs on high ground { $place }: little water comes there.
    .title = { $name } lies on a ridge

one-benchmark =
    .title-none = No benchmark
    .message-none = There is no benchmark.
    .title = One benchmark only
    .message = There is one benchmark only.
    .advice-none = Set two that survive the digging, and enter them with their levels.
    .advice = Set a second that survives the digging, and enter it with its level.

opposite-laterals =
    .message-one = A pair of laterals enters { $name } opposite each other.
    .message = { $figure } pairs of laterals enter { $name } opposite each other.
    .title = Laterals meet head-on in { $name }
    .remedy-up = Move the end of { $names } { $figure } up { $name }
    .remedy-down = Move the end of { $names } { $figure } down { $name }
    .remedy-ends-up = Move the ends of { $names } { $figure } up { $name }
    .remedy-ends-down = Move the ends of { $names } { $figure } down { $name }

other-trees =
    .message = { $figure } of { $name } lie within { $figure-near } of { $what }, { $place }.
    .title = { $name } runs near { $what }
    .advice = If { $what } is felled, delete its mark.

outlet-against-current =
    .message-angle = { $name } points { $figure } off the channel's flow, upstream: scour and ice.
    .message-bend = { $name } stands on the outside of a bend: scour and ice.
    .title = { $name } faces the current
    .remedy = Armor the bank at { $name }

outlet-consent =
    .message = The owner of the { $what } at { $name } must agree in writing first.
    .advice = Ask, and enter the consent.
    .message-whose = Nobody has said whose the { $what } at { $name } is.
    .advice-whose = Find out, and enter that it is your own, or the owner's consent.
    .title = No consent for { $name }

outlet-freeboard =
    .message-above = { $name } is only { $figure } above { $water }; wanted { $figure-wanted }.
    .message-below = { $name } lies { $figure } below { $water }; wanted { $figure-wanted }.
    .message-level = { $name } lies level with { $water }; wanted { $figure-wanted }.
    .message-above-over = { $name } is only { $figure } above { $water }; wanted { $wanted }.
    .title = Outlet { $name } is too low
    .advice = Clearing the channel until { $name } lies { $figure } above it does too: enter its levels then.
    .remedy-lock = Lock the invert of { $name } at { $figure }

outlet-not-described =
    .message = { $names } is not described.
    .message-more = { $names } are not described.
    .title = Outlet without a photo
    .advice = Photograph and mark the place, and enter the name of the photo.

outlet-off-ground =
    .message = { $name } lies where no ground is known.
    .title = { $name } lies off the ground
    .advice = Bring in ground that reaches so far, or move the outlet to where it comes out.

outlet-overhang =
    .message = { $figure } of { $figure-of } of pipe hang in the air at { $name }; no more than { $figure-wanted } should.
    .title = { $name } hangs too far out
    .remedy-hang = Let no more than { $figure } hang in the air at { $name }
    .remedy = Use { $figure } of solid pipe at { $name }

outlet-pipe-short =
    .message = The last solid pipe at { $name } is { $figure }; wanted { $figure-wanted }.
    .title = The outlet pipe at { $name } is short

outlet-pipe-soft =
    .message = The last pipe at { $name } is not solid and rigid.
    .title = { $name } ends in soft pipe
    .remedy = Make the last { $figure } at { $name } solid and rigid

outlet-without-line =
    .message = Outlet { $name } has no line.
    .title = No line explains { $name }
    .remedy = Delete outlet { $name }
    .advice = Trace it (camera, dye), and draw the line that leads to it.

outlier-point =
    .title-many = { $figure } of { $figure-shots } shots stick out
    .message-many = { $figure } of { $figure-shots } shots stick out, by up to { $figure-by }; the worst are { $names }. So many are no slips of the rod.
    .advice = Look at how they were taken: canopy, lost signal, a machine in motion.
    .message-above = Shot { $name } lies { $figure } above its neighbors, which fit their own plane within { $figure-within }. A slip of the rod or of the pencil?
    .message-below = Shot { $name } lies { $figure } below its neighbors, which fit their own plane within { $figure-within }. A slip of the rod or of the pencil?
    .message-slip-above = Shot { $name } lies { $figure } above its neighbors, which fit their own plane within { $figure-within }. A rod slip of { $figure-slip }?
    .message-slip-below = Shot { $name } lies { $figure } below its neighbors, which fit their own plane within { $figure-within }. A rod slip of { $figure-slip }?
    .title = Shot { $name } sticks out

over-boundary =
    .message = { $figure } of { $name } { $place } lie outside the boundary.
    .title = { $name } leaves the field
    .advice = Get the owner's consent, and enter it at { $name }.
    .advice-easement = Get an easement in writing, and accept this by name once you have it.

over-capacity =
    .message = { $name } { $place } is up to { $figure } full: { $figure-wants } where { $figure-pipe } pipe at { $figure-grade } carries { $figure-carries }.
    .seeps = It drains no land of its own: what seeps in at its upper end runs through all of it.
    .stands = Water would stand { $figure } above the ground at { $figure-at }.
    .pressure = { $figure } of it would run under pressure.
    .title = { $name } cannot carry its water
    .message-old = { $name } gets up to { $figure } { $place } and carries somewhere between { $figure-low } and { $figure-high }, by its size, its two levels and its condition.
    .title-old = Old tile { $name } may be too small
    .advice-old = Look inside and enter the condition of { $name }, or lay new pipe beside it and join that.

overhead-line =
    .message-near = { $what } is { $figure } from where the boom works at { $figure-at } of { $name }.
    .message-over = { $what } hangs over where the boom works at { $figure-at } of { $name }.
    .title = A power line at { $name }
    .advice = Have its owner switch it off and ground it, or agree on a spotter and a distance with its owner, and accept this by name.

pipe =
    .lay-solid = Lay solid pipe { $places }
    .lay-heavy = Lay solid heavy pipe { $places }
    .lay-plugs = Lay solid pipe with clay plugs { $places }
    .lay-heavy-plugs = Lay solid heavy pipe with clay plugs { $places }
    .both = { $deed } and lay solid pipe { $places }
    .size = Use { $figure } for { $names }
    .size-flow = Leave the size of { $name } to its flow
    .smooth = Use smooth-wall pipe for { $name }
    .hold = Hold { $figure } from { $figure-from } to { $figure-to } of { $name }
    .follow = Let { $name } follow the ground at { $figure } from { $figure-from } to { $figure-to }

pipe-too-small =
    .message = { $name } is { $figure }; the smallest pipe is { $figure-least }.
    .title = { $name } is very small pipe

plain-slots-silt =
    .message = { $figure } lie in { $texture } with ordinary slots.
    .title = Ordinary slots in soil that comes in
    .remedy-sock = Use a sock on { $names }
    .remedy-narrow = Use narrow slots on { $names }
    .remedy-stone = Use { $figure } of sand or gravel round the pipe on { $names }

plug-live-tile =
    .message-beyond = Old tile { $name } is to be plugged, but water reaches it from beyond the boundary. Someone else's water may depend on it.
    .message-runs = Old tile { $name } is to be plugged, but it runs. Someone else's water may depend on it.
    .title = Old tile { $name } is running

post-or-anchor =
    .message = The end post at { $figure } of { $name } would reach the pipe, which lies { $figure-high } too high for it.
    .message-more = The end post at { $figure } of { $name } and { $figure-more } more would reach the pipe, which lies { $figure-high } too high for it.
    .title = Posts of { $what } reach { $name }

private-lines =
    .message = One-call does not mark the farm's own lines.
    .advice = Ask the grower, and tick in the brief: { $what }.
    .title = The farm's own lines were not asked for

pump-incomplete =
    .message = The pump outlet { $name } lacks { $lacks }.
    .title = The pump at { $name } is not complete
    .advice = Plan it, and enter that it is there.

receiving-pipe-backwater =
    .message = { $name } lies { $figure } below the crown of the receiving pipe and stands full when that does.
    .title = { $name } stands in the receiving pipe's water
    .advice = Where it does no harm, enter that.

receiving-pipe-small =
    .title = The pipe at { $name } may be too small
    .message-unknown = Nobody has said what the pipe at { $name } can still take; you bring { $figure }.
    .advice-unknown = Measure what it can take, and enter it.
    .message = The pipe at { $name } can take { $figure } more; you bring { $figure-brings }.
    .advice = Have it enlarged, or measured again, and enter what it can take then.

record-incomplete =
    .message = The record of { $name } has no { $lacks }.
    .title = The record of { $name } is not complete
    .advice = Survey it and enter it before final payment.

replacement-small =
    .message = { $name } in { $figure } carries less than old tile { $name-old } in { $figure-old }.
    .message-wall = { $name } in { $figure } corrugated pipe carries less than old tile { $name-old } in { $figure-old } { $material }.
    .message-wall-name = { $name } in { $figure } corrugated pipe carries less than old tile { $name-old } in { $figure-old }.
    .title = { $name } replaces a larger line

reverse-as-built =
    .message = As dug, { $name } falls the wrong way by { $figure } between { $figure-low } and { $figure-lip }; { $figure-water } of water will stand ({ $figure-percent } of the diameter), { $figure-length } long.
    .advice = Flush it and watch it, or relay it from { $figure } and shoot it again.
    .advice-open = Relay it from { $figure } while the trench is open, and shoot it again.
    .title = { $name } was laid with a dip at { $figure }

ripper-depth =
    .message = The ripper reaches { $figure }, the top of { $name } is at { $figure-top } at { $figure-at }; wanted { $figure-wanted }.
    .title = The ripper reaches { $name }
    .remedy = Rip before the pipe is laid
    .remedy-depth = Rip no deeper than { $figure }

row-multiple =
    .message = The spacing of { $name } from { $name-on } on is { $figure } rows.
    .message-from = The spacing of { $what } from { $name } on is { $figure } rows.
    .message-lines = The spacing of { $figure } from { $figure-on } on is { $figure-rows } rows.
    .advice = Draw the laterals again { $figure } or { $figure-or } apart.
    .title = Spacing is no whole number of rows

run-on =
    .message = { $figure } of outside land drain onto the block.
    .title = Outside water comes onto the block
    .advice = Lead it round or count it, and say so in the brief.

shape =
    .trim-back = Trim { $name } back to { $figure }
    .trim-off = Trim { $figure } off the upper end of { $name }
    .move = Move { $name } { $figure } to the { $compass }

sharp-bend =
    .message = { $name } turns { $figure } at { $figure-at }, more than { $figure-limit } at one point.
    .title = { $name } bends sharply
    .remedy = Draw the bend at { $figure } of { $name } as a sweep

short-stub =
    .message = { $name } is only { $figure }: often a leftover of drawing.
    .title = { $name } is a short stub
    .remedy = Delete { $name }
    .remedy-outlet = Delete { $name } and outlet { $name-outlet }

site-flags =
    .message = { $what } is marked on this site, and nobody has entered what the authority or the engineer said.
    .title = Nobody has answered { $what }
    .advice = Ask, and enter what was said.

smaller-downstream =
    .message = { $name } goes from { $figure } to { $figure-narrow } on its way down at { $figure-at }.
    .title = { $name } gets smaller downstream
    .message-joins = { $name } below { $figure-at } must be at least { $figure }: it is { $figure-is } and { $name-branch } brings { $figure }.
    .title-joins = { $name } is smaller than what drains into it

sock-in-iron =
    .message = Iron slime may seal a fine sock.
    .title = A sock where iron was seen
    .remedy-stone = Use { $figure } of sand or gravel round { $name }
    .remedy = Use no sock on { $name }

spacing-close =
    .message = Laterals from { $name } on lie { $figure } apart, about { $figure-would } would do: { $figure-more } of pipe more than needed.
    .message-rows = Laterals from { $name } on lie { $figure } apart, about { $rows } would do: { $figure-more } of pipe more than needed.
    .advice = Draw them again { $what } apart.
    .title = Laterals are closer than needed

spacing-wide =
    .message = Laterals from { $name } on lie { $figure } apart, about { $rows } fits the soil.
    .message-known = Laterals from { $name } on lie { $figure } apart, about { $rows } fits the soil ({ $figure-low } to { $figure-high } by what is known of it).
    .stands = Mid-row water table would stand { $depth }, target { $figure }.
    .title = Laterals are too far apart

spring-missed =
    .message = { $what } lies { $figure } off { $name } at { $figure-at }.
    .title = A spring is not collected
    .remedy = Draw { $name } from { $name-from } at { $figure } to the spring

square-tee-roots =
    .message-one = A square tee lies where roots are likely; a wye catches less.
    .message = { $figure } square tees lie where roots are likely; wyes catch less.
    .title = Square tees where roots are likely
    .remedy = Turn the end of { $names } downstream into a wye
    .remedy-ends = Turn the ends of { $names } downstream into wyes

stale-survey =
    .message-one = Ground was moved on { $figure }, after batch { $what } was taken.
    .message = Ground was moved on { $figure }, after batches { $what } were taken.
    .title = The ground has changed since the survey
    .advice = Shoot the changed part again, and leave out what it replaces.

steep-pipe-washout =
    .message = { $name } falls { $figure } { $place }; water can run down the trench and wash it out.
    .title = { $name } is steep
    .remedy = Put trench breakers or anchors on { $name }

steep-to-flat-no-relief =
    .message = { $name } goes from { $figure } to { $figure-to } at { $figure-at }: water can back up there and burst the ground.
    .title = { $name } turns from steep to flat

survey-gap =
    .message = No levels along { $figure } of { $name }, { $place }.
    .title = No levels along { $figure } of { $name }
    .title-name = { $name } without levels
    .advice = Shoot points there, no farther apart than { $figure }, and add them.

suspected-tile =
    .message = Old tile { $name } may be near { $name-near } { $place }.
    .message-one = Old tile { $name } may be near { $name-near } { $place } and at one place more.
    .message-more = Old tile { $name } may be near { $name-near } { $place } and at { $figure } places more.
    .title = Old tile { $name } may be in the way
    .advice = Slow down and watch; mark { $name } seen when it is found, or delete it when it is not there.

swale-no-pipe =
    .message = { $figure } of a swale with { $figure-area } behind it have no drain within { $figure-near }.
    .message-parts = { $figure } of a swale in { $figure-parts } parts with up to { $figure-area } behind it have no drain within { $figure-near }.
    .title = A swale without a drain
    .advice = Draw a drain along it, draw the ditch if it is one, or mark a wet area over it that is left wet.
    .message-hollow = A closed hollow of { $figure }, { $figure-deep } deep, has no line.
    .title-hollow = A closed hollow without a line
    .advice-hollow = Draw a drain or set an inlet in it, or mark a wet area over it that is left wet.
    .message-small = A small swale has no line.
    .message-smalls = { $figure } small swales have no line.
    .title-small = Small swales without a line
    .advice-small = Draw a drain along each, or mark wet areas over them that are left wet.

thin-cover =
    .message = Only { $figure } of soil over the pipe of { $name } at { $figure-at }; wanted { $figure-wanted }.
    .message-out = The pipe of { $name } comes out of the ground by { $figure } at { $figure-at }.
    .title = Too little soil over { $name }

thin-cover-as-built =
    .message = As dug, { $name } has { $figure } of soil over its pipe at { $figure-at }; wanted { $figure-wanted }.
    .message-none = As dug, { $name } has { $cover } of soil over its pipe at { $figure-at }; wanted { $figure-wanted }.
    .title = Too little soil over { $name } as dug
    .advice = Add soil, relay it deeper, or lay pipe that is solid and heavy and mark it so.

thin-cover-peat =
    .message-unknown = { $name } lies in organic soil and nobody has said how far it will settle.
    .title-unknown = { $name } lies in peat
    .advice = Enter how far it will settle.
    .message-left = Peat will shrink by { $figure }; { $figure-left } would be left over { $name } at { $figure-at }, wanted { $figure-wanted }.
    .message-out = Peat will shrink by { $figure }; { $name } would lie { $figure-out } out of the ground at { $figure-at }.
    .title = Peat will bare { $name }

thin-cover-traffic =
    .message = Wheels cross { $name } on { $what } at { $figure } with { $cover }; wanted { $figure-wanted }.
    .title = Wheels cross { $name } where it is shallow
    .remedy = Take pipe rated for the load for { $name }

thin-envelope =
    .message = { $name } has { $figure } of envelope; wanted { $figure-wanted } all round.
    .title = The envelope of { $name } is thin
    .remedy = Use { $figure } of envelope round { $name }

tight-at-pipe =
    .message-interceptor = { $name } lies in its tight layer { $place }, { $figure } deep, as an interceptor does: what comes along the top of the layer reaches it only through stone.
    .message = Water cannot reach { $name } { $place }, { $figure } deep: the pit shows tight soil there.
    .title = { $name } lies in tight soil
    .remedy = Fill the trench of { $name } with stone

too-deep-for-wall =
    .message-maker = The trench of { $name } is { $figure } deep at { $figure-at }, more than the maker's { $figure-allowed } in a trench { $figure-wide } wide.
    .message-guide = The trench of { $name } is { $figure } deep at { $figure-at }, more than the guide's { $figure-allowed } in a trench { $figure-wide } wide.
    .title = { $name } lies deep for its wall
    .advice = Ask the maker, and enter his figure if it is greater.
    .remedy = Dig a trench no wider than { $figure }

too-fast =
    .message = Full-pipe speed { $figure } in { $name }, limit { $figure-limit } in { $texture }.
    .title = { $name } runs too fast for its soil

trench-five-feet =
    .message = From { $figure } to { $figure-to } the trench of { $name } is up to { $figure-deep } deep. Until it is sloped, shored or boxed nobody may enter.
    .title = Nobody may enter the open trench of { $name }
    .advice = Plan the protection, and accept this by name once it is planned.

trench-four-feet =
    .message = { $figure } of trench is { $figure-from } to { $figure-to } { $unit } deep.
    .advice = Keep a ladder or ramp within { $figure } of anyone inside; a competent person looks for signs of cave-in; wet sand needs support at once.
    .title = Trench { $figure } or deeper

trench-twenty-feet =
    .message = The trench of { $name } is { $figure } deep at { $figure-at }: over { $figure-limit } an engineer designs the protection.
    .title = The trench of { $name } needs an engineer
    .advice = Have the design made, and accept this by name once it is.

under-ditch =
    .message = { $name } passes under { $what } at { $figure } with { $cover }.
    .title = { $name } passes under a ditch

under-guide-depth =
    .message = { $name } at { $figure } is { $figure-deep } deep, shallower than the guide's { $figure-guide }.
    .title = { $name } is shallow for deep roots
    .remedy = Leave the guide for deep roots, as in humid or shallow soil

under-row =
    .message = { $figure } of { $name } lie under a row, { $place }.
    .title = { $name } lies under a row

under-target-depth =
    .message = { $figure } of { $name } is up to { $figure-up } shallower than wanted; it drains less far sideways.
    .title = { $name } is shallower than wanted

unit-mix =
    .message = Batch { $name } looks like { $units } among { $among }: its middle level reads { $figure }, that of the ground or of the others { $figure-others }, and { $figure-one } ÷ { $figure-two } is { $figure-is }, near the 3.28 feet of a meter.
    .title = Batch { $name } is in { $units }?

utilities =
    .advice = Expose it by hand, and enter who saw it, when, and the levels of its top and underside; the line then goes over or under it by itself.

utility-clearance =
    .message = Only { $figure } between { $name } and { $what } at { $figure-at }; wanted { $figure-wanted }.
    .message-none = No room between { $name } and { $what } at { $figure-at }; wanted { $figure-wanted }.
    .title = { $what } is too near
    .advice = Ask the owner, and enter the clear distance that he asks for.
    .told = { $name } crosses { $what } at { $figure }, { $figure-clear } clear of it by the depth that was told: nobody has exposed it there.
    .told-only = Only { $figure } between { $name } and { $what } at { $figure-at }; wanted { $figure-wanted } by the depth that was told: nobody has exposed it there.
    .told-none = No room between { $name } and { $what } at { $figure-at }; wanted { $figure-wanted } by the depth that was told: nobody has exposed it there.
    .not-told = { $name } crosses { $what } at { $figure }: nobody has exposed it there.
    .title-exposed = { $what } was not exposed
    .remedy-over = Pass over { $what } at { $figure } of { $name }
    .remedy-under = Pass under { $what } at { $figure } of { $name }

utility-depth-unknown =
    .message = { $name } crosses { $what } at { $figure } and its depth is unknown.
    .title = Nobody knows how deep { $what } lies
    .message-beside = { $figure } of { $name } run beside { $what }, { $place }.
    .title-beside = { $name } runs beside { $what }
    .advice = Agree with the owner how it is dug, and accept this by name.

utility-no-ticket =
    .message-none = { $name } crosses { $what } at { $figure }: no ticket.
    .message-ended = { $name } crosses { $what } at { $figure }: the ticket ended on { $figure-day }.
    .title = { $what } is not cleared
    .advice = Ask for marks (2–3 business days) and enter the ticket and its last day.

water-loop =
    .message = { $names } drain into each other in a ring; the water never leaves.
    .title = { $name } drains in a ring
    .advice = Give one of them an outlet, or join it to a line outside the ring.
    .message-two = Water has two ways at { $figure } of { $name }: its upper end lies on { $name-other } and both lead to the same place.
    .title-two = { $name } and { $name-other } make a loop

well-or-septic =
    .message = { $what } is { $figure } away from { $name }; the local rule asks for { $figure-keep }.
    .message-unknown = { $what } is { $figure } away from { $name }, and the local distance is not entered.
    .advice = Ask for the local distance, and enter it.

wet-no-cause =
    .message = Nobody has said why { $names } is wet.
    .message-are = Nobody has said why { $names } are wet.
    .title = Nobody has said why it is wet
    .advice = Choose a cause for each, or "unknown" where that was asked.

wet-not-served =
    .message = { $figure } of { $name } stay wet: no pipe that drains lies near enough.
    .message-less = Less than { $figure } of { $name } stay wet: no pipe that drains lies near enough.
    .title = { $name } is not served
    .remedy = Leave { $what } as it is

wrong-roughness =
    .message = The capacity of { $name } was worked with n { $figure }; { $wall } needs about { $figure-about }.
    .title = { $name } has an odd roughness
    .remedy = Work { $name } with n { $figure }

yard-or-store =
    .message = { $figure } of { $name } near { $what } can foul the ditch.
    .title = { $name } runs past { $what }

ways-out =
    .untried = No change was tried: { $why }.
    .none-because = No single change clears it: { $why }.
    .none = No single change clears it.

## What stands within a sentence, known there only

part-places =
    .span = from { $figure } to { $figure-to }
    .spans = from { $figure } to { $figure-to } and { $places }
    .point = at { $figure }
    .span-of = from { $figure } to { $figure-to } of { $name }
    .span-of-more = from { $figure } to { $figure-to } of { $name }, { $places }
    .span-of-last = from { $figure } to { $figure-to } of { $name } and { $places }
    .range = { $figure } to { $figure-to }
    .whole = over its whole length
    .corner = corner { $figure } of { $figure-of }
    .boundary = The boundary
    .part = Part { $figure } left out
    .upper-end = The upper end of { $name }
    .left = left
    .right = right
    .north = north
    .northeast = northeast
    .east = east
    .southeast = southeast
    .south = south
    .southwest = southwest
    .west = west
    .northwest = northwest
    .all = all of it
    .and = { $names } and { $name }
    .more = { $names }, { $figure } more
    .these = these { $figure } lines

part-words =
    .higher = higher
    .lower = lower
    .over = over
    .under = under
    .lidar = the lidar
    .other-batches = the other batches
    .rises = it rises 1 in { $figure }
    .runs = the full pipe runs { $figure }
    .low-water = low water
    .channel-bottom = the channel bottom
    .pipe = pipe
    .channel = channel
    .of-clay = clay of { $name }
    .of-concrete = concrete of { $name }
    .of-metal = metal of { $name }
    .outlet-concrete = outlet pipe, concrete of { $name }
    .outlet-metal = outlet pipe, metal of { $name }
    .unknown = unknown
    .clay = clay
    .concrete = concrete
    .plastic = plastic
    .metal = metal
    .corrugated = corrugated pipe
    .smooth = smooth pipe
    .laid-solid = solid { $place }, planned perforated
    .laid-perforated = perforated { $place }, planned solid
    .laid-size = { $figure } { $place }, planned { $figure-planned }
    .laid-both-solid = { $figure }, solid { $place }, planned { $figure-planned }, perforated
    .laid-both = { $figure }, perforated { $place }, planned { $figure-planned }, solid
    .photo = photo
    .size = size
    .direction = direction
    .decision = decision
    .storage = storage
    .level-switch = a level switch
    .power = power
    .lacks-and = { $what } and { $other }
    .lacks-list = { $what }, { $other }
    .wells = wells
    .septic = septic
    .pumps = power to pumps
    .irrigation = irrigation
    .start = shot at its start
    .end = shot at its end
    .inverts = inverts { $place }
    .no-more = { $what }, no { $other }
    .cover = { $figure } of cover
    .out = { $figure } out of the ground
    .no-cover = no cover
    .cover-wanted = { $cover } where { $figure } are wanted
    .not-solid = pipe that is not solid { $place }
    .and-with = { $cover }, and with { $other }
    .rows = { $figure } rows ({ $figure-wide })
    .deep = { $figure } deep
    .surface = at the surface
    .feet = feet
    .meters = meters
    .brief = the brief's texture
    .given = the soil as given
    .pit-soil = the soil of pit { $name }
    .crops = field crops
    .vines = vines and fruit
    .vegetables = vegetables
    .wet-land = land where rain stands
    .batch = batch { $name }
    .the-ground = the ground
    .benchmark = benchmark { $name }
    .other-unit = levels in an unknown unit
    .file-of = { $name } of { $figure }
    .large = the plan is large, ask for this finding alone
    .lesser = the ground that the plan names is not all there
    .brings = { $deed }, but that brings: { $title }
    .join = join
    .bridge = bridge
    .replace = replace
    .bypass = bypass
    .plug = plug

survey-corrections =
    .more = { $deed } and { $figure } more
    .any = Correct the survey
    .convert = Read batch { $name } as { $unit }
    .shift = Shift batch { $name } by { $figure }
    .shift-lidar = Shift the lidar by { $figure }
    .datum = Take batch { $name } as brought to { $name-datum }
    .correct = Correct { $name } of batch { $name-batch } by { $figure }
    .leave-out = Leave out { $name } of batch { $name-batch }
    .leave-out-batch = Leave out batch { $name }
    .keep = Keep batch { $name } as it is, { $figure } off

part-soils =
    .gravel = coarse sand or gravel
    .sand = sand
    .loamy-sand = loamy sand
    .sandy-loam = sandy loam
    .loam = loam
    .silt-loam = silt loam
    .silt = silt
    .sandy-clay-loam = sandy clay loam
    .sandy-clay = sandy clay
    .silty-clay-loam = silty clay loam
    .clay-loam = clay loam
    .silty-clay = silty clay

part-structures =
    .blind-inlet = blind inlet
    .open-inlet = open inlet
    .breather = breather
    .relief-well = relief well
    .silt-trap = silt trap
    .junction-box = junction box
    .drop = drop

marks =
    .gas = gas line { $name }
    .oil = oil line { $name }
    .power = power cable { $name }
    .phone = telephone or fiber { $name }
    .water = water line { $name }
    .sewer = sewer { $name }
    .reclaimed = irrigation or reclaimed water { $name }
    .utility = buried utility { $name }
    .overhead = overhead power line { $name }
    .easement = easement { $name }
    .wetland = wetland { $name }
    .well = well { $name }
    .septic = septic { $name }
    .trees = trees { $name }
    .hedge = hedge { $name }
    .road = road or lane { $name }
    .irrigation = irrigation main { $name }
    .vines = vines { $name }
    .rows = rows { $name }
    .pit = soil pit { $name }
    .wet = wet area { $name }
    .spring = spring { $name }
    .bank = dam or levee { $name }
    .footing = footing or wall { $name }
    .store = store or yard { $name }
    .neighbour = neighbor's side { $name }
    .flag = site flag { $name }
    .ditch = ditch { $name }
    .culvert = culvert { $name }
    .outlet = outlet { $name }
    .old-tile = old tile { $name }
    .gas-bare = gas line
    .power-bare = power cable

## What cut sheets say of a line

pipe-words =
    .one-corrugated = { $figure } corrugated: { $parts }
    .one-smooth = { $figure } smooth inside: { $parts }
    .one-rigid = { $figure } rigid: { $parts }
    .corrugated = { $figure } corrugated { $parts }
    .smooth = { $figure } smooth inside { $parts }
    .rigid = { $figure } rigid { $parts }

part-pipes =
    .more = { $part }, { $parts }
    .perforated = perforated pipe { $figure } to { $figure-to }
    .solid = solid pipe { $figure } to { $figure-to }
    .heavy = heavy solid pipe { $figure } to { $figure-to }
    .stick = outlet stick { $figure } to { $figure-to }
    .body-corrugated = { $figure } corrugated { $part }
    .body-smooth = { $figure } smooth inside { $part }
    .body-rigid = { $figure } rigid { $part }
    .kind-perforated = perforated pipe
    .kind-solid = solid pipe
    .kind-heavy = heavy solid pipe
    .kind-stick = outlet stick
    .wall-corrugated = corrugated
    .wall-smooth = smooth inside
    .wall-rigid = rigid
    .sock = sock
    .stone = stone { $figure } all round
    .narrow = narrow slots
    .filled = trench filled with stone

zero-words =
    .outlet = 0+00 is outlet { $name }; stations run upstream
    .joint-at = 0+00 is the joint with { $name } at { $figure }; stations run upstream
    .joint = 0+00 is the joint with { $name }; stations run upstream
    .nothing = 0+00 is the downstream end, which joins nothing; stations run upstream

here =
    .no-level = NO LEVEL from here to { $figure }: no ground
    .coupler = COUPLER, { $wall } from here up
    .eccentric = ECCENTRIC REDUCER { $figure } to { $figure-to }, inverts level
    .reducer-up = REDUCER { $figure } to { $figure-to }, crowns level: invert up { $figure-by }
    .reducer-up-to = REDUCER { $figure } to { $figure-to }, crowns level: invert up { $figure-by } to { $figure-level }
    .reducer-down = REDUCER { $figure } to { $figure-to }, crowns level: invert down { $figure-by }
    .reducer-down-to = REDUCER { $figure } to { $figure-to }, crowns level: invert down { $figure-by } to { $figure-level }
    .from-main = Carries on from { $name }: { $figure } to { $figure-to }
    .tee-main = Tee { $figure } × { $figure-small } in { $name }, branch up { $figure-up }
    .tee-main-flat = Tee { $figure } × { $figure-small } in { $name }, branch up
    .carries-on = { $name } carries on: { $figure } to { $figure-to }
    .tee-left = TEE { $figure } × { $figure-small }, { $name } leaves left
    .tee-right = TEE { $figure } × { $figure-small }, { $name } leaves right
    .grade = GRADE BREAK to { $figure }
    .pipe = PIPE CHANGE to { $kind }
    .cap = END CAP; post marker
    .no-cap = END, no cap
    .trench = TRENCH { $figure } OR DEEPER { $figure-from } to { $figure-to }, { $figure-length }, up to { $figure-depth }: nobody enters unprotected
    .no-dig = DO NOT DIG between here and { $figure }
    .moved = INSTRUMENT MOVED: laser plane { $figure } from here up
    .no-plane = INSTRUMENT MOVED: NO LASER PLANE GIVEN from here up
    .no-plane-alone = NO LASER PLANE GIVEN from here up
    .riser = SURFACE RISER
    .blind-inlet = BLIND INLET
    .breather = BREATHER
    .relief-well = RELIEF WELL
    .silt-trap = SILT TRAP
    .junction-box = JUNCTION BOX
    .drop = DROP

ahead =
    .at = { $figure } { $what }
    .no-dig = { $figure } DO NOT DIG
    .no-dig-to = { $figure } to { $figure-to } DO NOT DIG

part-ahead =
    .buried = { $what }, { $depth }, { $how }
    .buried-exposed = { $what }, top at { $figure }, underside at { $figure-bottom }, exposed by hand, { $how }
    .down = { $figure } down
    .depth-unknown = DEPTH UNKNOWN
    .exposed = top at { $figure }, underside at { $figure-bottom }, exposed by hand
    .no-dig = DO NOT DIG { $figure } to { $figure-to }
    .no-dig-at = DO NOT DIG { $figure }
    .by-hand = dig by hand { $figure } either side
    .overhead = POWER LINE OVERHEAD { $name }
    .end-post = end-post line of { $name }
    .old-tile = old tile { $name }: slow down, watch, record it
    .crosses = { $name } crosses

seen =
    .at = { $severity } { $figure }: { $title }
    .span = { $severity } { $figure } to { $figure-to }: { $title }

severity =
    .no-dig = DO NOT DIG
    .fix = TO FIX
    .decide = to decide
    .note = note
    .accepted-fix = accepted: to fix
    .accepted-decide = accepted: to decide
    .accepted-note = accepted: note

places =
    .all = all of it
    .span = { $figure } to { $figure-to }
    .span-more = { $figure } to { $figure-to }, { $places }
    .point-more = { $figure }, { $places }
    .on-all = { $name } all of it
    .on-span = { $name } { $figure } to { $figure-to }
    .on-span-more = { $name } { $figure } to { $figure-to }, { $places }
    .on-point-more = { $name } { $figure }, { $places }

planes =
    .one = { $figure } from { $figure-from } to { $figure-to }
    .more = { $figure } from { $figure-from } to { $figure-to }, { $more }

terms =
    .coordinates = Coordinates: { $name-system }, easting and northing in { $unit }
    .no-coordinates = Coordinates: none, the plan names no ground, easting and northing in { $unit }
    .levels = Levels in { $unit }, vertical datum: { $name-datum }
    .levels-none = Levels in { $unit }, vertical datum: not stated

part-terms =
    .meters = meters
    .feet = international feet
    .survey-feet = US survey feet
    .not-stated = not stated

edition =
    .draft = DRAFT, not issued
    .draft-after = DRAFT after revision { $name }
    .issued = Revision { $name }, { $name-by }, { $figure }
    .issued-replaces = Revision { $name }, replaces revision { $name-old }, { $name-by }, { $figure }
    .all-the-same = Revision { $name } ALL THE SAME, { $name-by }, { $figure }
    .all-the-same-replaces = Revision { $name } ALL THE SAME, replaces revision { $name-old }, { $name-by }, { $figure }
    .replaced = Revision { $name }, replaced
    .out-of-date = REVISION { $name } IS OUT OF DATE: revision { $name-new } of { $figure } replaced it. Do not dig by it.
    .differs = Differs from revision { $name }, which is in the cab. Issue the next revision before digging. Changed: { $changes }.

changes =
    .unknown = not known, revision { $name } was issued by an older version of the program
    .rows-cut = rows of { $names }
    .was = { $about } was { $then }, is { $now }
    .not-what = { $about } is not what it was
    .became = { $about }: '{ $then }' became '{ $now }'
    .new-of = { $about } is new: { $now }
    .gone-was = { $about } is gone, was { $then }
    .new-at = { $about } is new, at { $figure }
    .new = { $about } is new
    .gone = { $about } is gone
    .up = { $about } moved { $figure } up
    .down = { $about } moved { $figure } down

part-facts =
    .job = Name of the job
    .datum = Datum
    .system = Coordinate system
    .width = Width of the trench
    .bedding = Bedding
    .cover = Least cover of the job
    .protected = Depth from which a trench is protected
    .ladder = Depth from which a ladder stands in the trench
    .hand = Way to dig by hand at a utility
    .benchmark = Benchmark { $name }
    .benchmark-place = Place of benchmark { $name }
    .benchmark-datum = Datum of benchmark { $name }
    .channel = Channel bottom at outlet { $name }
    .low-water = Low water at outlet { $name }
    .flood = Flood at outlet { $name }
    .outlet = Outlet { $name }
    .outlet-place = Place of outlet { $name }
    .outlet-making = Making of outlet { $name }
    .boundary = Boundary
    .course = Course of { $name }
    .mark-place = Place of { $what }
    .old-tile = Old tile { $name }
    .trench = Protected trench of { $name }
    .ladder-trench = Trench with a ladder of { $name }
    .pipe = Pipe of { $name }
    .stations = Stations of { $name }
    .plane = Rod plane of { $name }
    .units = Units
    .no-dig = DO NOT DIG on { $place } ({ $title })
    .finding = Finding "{ $title }" at { $place }
    .gone-line = a line that is gone

sizes =
    .two = { $figure } to { $figure-to }
    .more = { $figure } to { $sizes }

## Cautions own
caution = Have utilities located before digging, private lines too. Nobody enters a trench 5 ft (1.5 m) or deeper without sloping, shoring or a box. Ask about wetlands, permits, easements and the neighbor's water first. Levels come from the ground supplied: verify the outlet and the ditch by survey. Quantities are estimates. Local code and licensed practice go before this plan, which is a planning aid and no engineer's design.
caution-short = Locate utilities first. Nobody in an unprotected 5 ft (1.5 m) trench. Wetlands, permits and local code go first. Estimates.

## Words of all sheets own
do-not-dig = DO NOT DIG
station = Station
cut = Cut
ground = Ground
invert = Invert
coming = AHEAD { $what }
or = {""}, or { $next }
or-else = {""}, { $next }
accepted = Accepted: { $because }. { $by }, { $day }.
still-open-one = 1 finding to fix still open. { $who }.
still-open = { $count } findings to fix still open. { $who }.
issued-all-the-same = Issued all the same by { $by }, { $day }: { $because }
handed-all-the-same = Handed over all the same by { $by }, { $day }: { $because }
not-issued = Not issued: what is to be fixed comes before digging
end-of-line = end

## The field page own
page-title = { $name }: field page
page-draft = DRAFT
page-not-issued = not issued
page-revision = REV { $letter }
page-strike = Struck a line? Gas smell: leave, then call.
page-strike-stop = Stop. Do not cover it, do not mend it, keep everybody back.
page-strike-gas = Gas smell or hissing: leave at once, upwind and on foot. Start and stop no engine, touch no switch, light nothing. From far off call the emergency number (911, 112) and the gas company.
page-strike-power = Power cable: stay on the machine and call; nobody leaves it and nobody comes near until the power is off.
page-strike-other = Everything else, a scratched coating too: call its owner and the locate service (811 in the US) before anybody goes on.
page-before = Before digging
page-no-dig = DO NOT DIG { $place }: { $title }
page-no-ticket = { $what }: NO LOCATE TICKET
page-ticket = { $what }: locate ticket { $ticket }, no last day entered
page-ticket-until = { $what }: locate ticket { $ticket } holds until { $day }
page-no-utility = No buried utility is drawn on this plan. That is no promise: have them located before digging.
page-map = Map
page-map-of = Map of { $name }, north up
page-lines = Lines
page-cautions = Cautions
page-line = { $name }: { $words }, { $length }
page-line-head = { $zero }. Pipe { $pipe }. Down to trench bottom = cut + { $below } of wall and bedding. Figures in { $unit }.
page-line-from = { $size }, from { $name }
page-line-from-at = { $size }, from { $name } at { $station }
page-head-from = From
page-head-bottom = Down to trench bottom
page-head-next = To next
page-head-here = Here, ahead, open
page-hub = hub { $level }
page-ground = ground
page-where = Where
page-what = What, and what to do
page-nothing-open = Nothing is open, by the checks. Walk the lines before you dig.
page-findings = Findings, { $count } in all
page-benchmark = Benchmark
page-level = Level
page-easting = Easting
page-northing = Northing
page-no-benchmark = No benchmark is entered: set one before digging.
page-benchmarks = Benchmarks and terms of levels
page-liters = liters
page-gallons = gallons
page-on-invert = inside bottom of the pipe
page-on-top = top of the pipe
page-on-trench = bottom of the trench
page-on-ground = ground beside it
page-condition-unknown = nobody looked inside
page-condition-good = good: clear, holds grade
page-condition-fair = fair: at most a third silt, hairline cracks
page-condition-poor = poor: more silt, broken, roots
page-about-digging = the digging
page-about-changed = laid otherwise than planned
page-about-repair = a repair
page-about-care = yearly care
page-running-unknown = nobody looked
page-running-dry = dry
page-running-runs = runs, not measured
page-running-flow = runs, bucket and seconds
page-made-unknown = unknown
page-made-clay = clay
page-made-concrete = concrete
page-made-plastic = plastic
page-made-metal = metal

## The script of the field page own
script-falls = falls to 0+00
script-rises = RISES to 0+00
script-level-grade = LEVEL
script-no-ticket = { $what }: NO LOCATE TICKET. Do not dig there.
script-no-day = { $what }: locate ticket { $ticket }, no last day entered. Ask before digging.
script-ran-out-one = { $what }: locate ticket { $ticket } RAN OUT 1 day ago ({ $until }). Have it renewed before digging.
script-ran-out = { $what }: locate ticket { $ticket } RAN OUT { $days } days ago ({ $until }). Have it renewed before digging.
script-today = { $what }: locate ticket { $ticket } runs out TODAY ({ $until })
script-runs-out-one = { $what }: locate ticket { $ticket } runs out in 1 day ({ $until })
script-runs-out = { $what }: locate ticket { $ticket } runs out in { $days } days ({ $until })
script-by-phone = By this phone's date, { $today }.
script-line = Line
script-station = Station
script-stations = Stations
script-no-level = No level at { $station }
script-no-dig = DO NOT DIG at { $station }
script-here = Here:
script-next-fitting = Next fitting in { $way }:
script-ahead = Ahead in { $way }:
script-not-known = Cut not known: no ground at { $station }
script-hub-left = Cut from the hub, { $off } left looking upstream
script-hub-right = Cut from the hub, { $off } right looking upstream
script-hub = Cut from the hub, on the line
script-from-ground = Cut from the ground at the center line
script-goes-up = THE CUT GOES UP: check the hub.
script-to-bottom = Down to trench bottom
script-ground = Ground
script-unknown = not known
script-invert = Invert
script-grade = Grade to { $station }
script-rod = Rod on the invert, plane { $level }
script-rod-bottom = Rod on the trench bottom
script-plane = Height of the instrument (level of its plane)
script-beside = Place beside the lines:
script-back = Back to { $name } { $station }
script-who = Who
script-rod-reading = Rod reading
script-shot = Shot of what is laid
script-held-on = Held on
script-level-itself = or the level itself
script-remark = Remark
script-keep-shot = Keep this shot
script-find = Found old tile
script-easting = Easting, if not at the station
script-northing = Northing
script-its-invert = or its invert, a level
script-diameter = Inside diameter
script-made = Made of
script-falls-toward = Falls toward
script-water = Water
script-bucket = Bucket, { $unit }
script-seconds = full in seconds
script-silt = Silt in it
script-condition = Condition
script-photo = Photo, its name
script-do-not-plug = Do not plug it and do not cut it off before the planner has answered.
script-keep-find = Keep this find
script-note = Note, photo
script-about = About
script-note-text = Note
script-agreed = Agreed by, where somebody had to
script-keep-note = Keep this note
script-not-known-way = not known
script-north = north
script-north-east = north-east
script-east = east
script-south-east = south-east
script-south = south
script-south-west = south-west
script-west = west
script-north-west = north-west
script-on-map = { $title }, at the place on the map
script-at = { $title }, { $name } { $station }
script-cancel = Cancel
script-wanted = { $what }: found '{ $found }', expected { $expected }
script-such-feet = a figure such as 3.71, 3'-8 1/2" or 1130 mm
script-such-meters = a figure such as 1.13 or 1130 mm
script-between = a figure between { $least } and { $most }
script-level = Level
script-instrument = Height of the instrument
script-plane-wanted = the level of its plane, by which the rod reading is a level
script-easting-alone = Easting
script-typed-place = The typed place
script-one-figure = one figure
script-both = easting and northing
script-shot-short = Shot
script-neither = neither rod reading nor level
script-one-of-two = one of the two
script-bucket-short = Bucket
script-seconds-short = Seconds
script-no-bucket = no bucket or no seconds
script-bucket-wanted = how large a bucket is full in how many seconds
script-silt-short = Silt
script-nothing = nothing
script-some-words = some words or the name of a photo
script-name-wanted = the name of whoever saw it
script-kept = Kept.
script-kept-below = Kept. { $off } below the planned invert there.
script-kept-above = Kept. { $off } above the planned invert there.
script-found-short = Found tile
script-beside-lines = beside the lines
script-handed-as = Handed back as { $name }. Bring that file to the planner.
script-save-now = Save the file that is offered now, { $name }: this phone keeps nothing.
script-copied = Copied. Paste it into a message or a file that ends in .geojson.
script-no-copy = This phone does not copy for the page: hold the text and copy it by hand.
script-on-phone = On this phone
script-refused = This phone does not let the page keep anything. Each entry is handed back at once: save the file it offers, and leave this page open until you have.
script-open-count = { $open } of { $all } not yet handed back
script-nothing-entered = Nothing entered yet.
script-elsewhere = { $count } not yet handed back on an older page of this plan: open that page and hand them back too.
script-take-out = Take out
script-handed-back = handed back
script-all-entries = All entries as text
script-hand-back = Hand back as a file
script-copy = Copy instead
script-nearer = Nearer
script-farther = Farther
script-whole = Whole field
script-station-wrong = Station: found '{ $text }', expected one between 0+00 and { $end }
script-no-lines = This plan has no line with levels.
script-shot-here = Shot here

## Head and foot of the pages a crew reads own
head-as-of = as of { $day }  ·  { $levels }
head-no-date = no date given  ·  { $levels }
head-meters = levels in meters, vertical datum: { $datum }  ·  { $mark }
head-feet = levels in feet and hundredths, vertical datum: { $datum }  ·  { $mark }
head-survey-feet = levels in US survey feet and hundredths, vertical datum: { $datum }  ·  { $mark }
head-no-benchmark = no benchmark entered
head-changed = Changed since revision { $letter }: { $changes }.
head-more = {" "}… in full on page 1
foot-accepted = Accepted by name: { $all }
foot-more = {" "}… see Findings
foot-page = page { $number } of { $count }

## Cut sheets own
cut-sheets = Cut sheets
cut-sheet = Cut sheet { $name }
cut-continued = continued
cut-thumbnail = All lines small, north up, { $name } drawn heavy
cut-reading = CUT: from the hub, else from the GROUND, down to the invert. Down to trench bottom: cut with wall and bedding. Hubs L or R: left or right looking upstream.
cut-reading-ground = No hub levels entered: every CUT is from the GROUND at the center line down to the invert. Down to trench bottom: cut with wall and bedding.
cut-terms-meters = Figures in meters and millimeters (1.205 is 1 m 205 mm). Station 1+20 is 120 m upstream of 0+00. Least cover of the job { $cover }. Trench { $width } wide.
cut-terms-feet = Figures in feet and hundredths. Station 2+50 is 250 ft upstream of 0+00. Least cover of the job { $cover }. Trench { $width } wide.
cut-from-hubs = Cuts from hubs. Wall and bedding { $below }
cut-from-both = Cuts from hubs; where a row has no hub, from the GROUND. Wall and bedding { $below }
cut-from-ground = No hub levels entered: every cut is from the GROUND at the center line. Wall and bedding { $below }
cut-below = Wall and bedding { $below }
cut-below-from = { $figure } from { $station } up
cut-pipe = Pipe { $pipe }
cut-no-plane = No laser plane given for this line
cut-plane = Laser plane at { $planes }. Rod on the invert; on the trench bottom add wall and bedding
cut-buried = BURIED HERE, locate first: { $what }
cut-more-fix = and { $count } more TO FIX, in the list at the end
cut-nothing-open = Nothing is open on this line, by the checks. Walk it before you dig.
cut-open = Open on this line, and what was accepted by name
cut-open-short = Open here, or accepted; in full under Findings:
cut-check = Check: lengths × grades as printed { $sum }, last invert less first { $ends }: agrees within the rounding
cut-check-short = Check: lengths × grades as printed { $sum }, last invert less first { $ends }: agrees
cut-check-wrong = Check: lengths × grades as printed { $sum }, last invert less first { $ends }: DOES NOT AGREE
cut-sum-steps = { $sum }, reducers { $steps }
cut-extreme = { $depth } at { $station }
cut-no-ground = unknown, no ground
cut-depths = Shallowest cover { $cover }  ·  deepest trench { $deep }, { $protection }
cut-ladder = Ladder or ramp, trench from { $limit }: { $places }
cut-unknown = GROUND NOT KNOWN, depth and protection cannot be told: { $places }
cut-goes-up = A CUT GOES UP: CHECK HUBS
cut-falls = Falls all the way from the upper end, { $high }, down to { $low }
cut-falls-short = Falls all the way
cut-falls-known = Falls all the way from { $high }, down to { $low }
cut-rises = from { $from } down to { $to } it RISES { $up }
cut-lies-level = from { $from } down to { $to } it lies LEVEL
cut-not-falling = DOES NOT FALL ALL THE WAY: { $places }
cut-under = under { $limit } everywhere
cut-under-known = under { $limit } where the ground is known
cut-protection = PROTECTION NEEDED { $places }, { $length }
cut-dug-by = dug by
cut-date = date
cut-head-station = Station
cut-head-hub = Hub
cut-head-hub-level = Hub/level
cut-head-ground = Ground
cut-head-cut = CUT
cut-head-inches = CUT, feet/and inches
cut-head-bottom = Down to/trench/bottom
cut-head-invert = Invert
cut-head-grade = Grade/to next
cut-head-depth = Depth/of invert
cut-head-cover = Cover
cut-head-rod = Rod
cut-head-dug = As dug
cut-head-photo = Photo
cut-on-line = on line
cut-left = { $off } L
cut-right = { $off } R
cut-ground = ground
cut-level = { $grade } level

## The first page own
cover-title = Before digging
cover-why = Why: { $because }.
cover-changed = Changed since revision { $letter }
cover-unchanged = Nothing that these sheets tell.
cover-no-dig = These stretches are not dug until what is asked for is done. No signature lifts that.
cover-fix = To fix before digging
cover-whole-job = For the whole job
cover-nothing-else = Nothing else is open that stands on no cut sheet.
cover-where-open = What is open on a line stands on its cut sheet; all of it stands under Findings.
cover-english = Plan sheet, profiles, tables, findings in full and all else in this set are in English.
cover-trench = Trench { $depth } or deeper
cover-no-trench = None, as far as the ground is known.
cover-together = together
cover-from = From
cover-to = To
cover-length = Length
cover-deepest = Deepest
cover-nobody = Nobody enters it until it is sloped, shored or boxed.
cover-line = Line
cover-buried = Buried along the lines: have it located first
cover-where-what = Where, and what
cover-index = Lines and their pages
cover-pipe = Pipe
cover-into = Into
cover-profile = Profile
cover-cut-sheet = Cut sheet
cover-nothing = nothing
cover-in-short = What to do about each stands under Findings, by its number.
cover-where = Where
cover-what = What, and what to do
