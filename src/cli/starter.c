/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `earshot new` prints. Demo data of our own; it is checked by the tests like any other plan. */
#include "cli/starter.h"

/* clang-format off */
static const char ABOUT[] =
"# A plan for earshot. One statement a line; '#' starts a comment. Change what you like, then: earshot check THIS-FILE\n"
"#\n"
"# Lengths are metres unless a unit says otherwise (m, cm, mm, ft, in). A point is x,y: x to the right, y up the page.\n"
"# Names are single words; a text with spaces stands in double quotes. Everything here is demo data.\n"
"\n"
"plan      1                                  # the version of this language\n"
"site      \"Starter house (demo data)\"\n"
"band      868.30MHz                          # one or several: band 868.30MHz 433.92MHz\n"
"need      margin=6dB confidence=95%          # what a dependable link must keep in hand\n"
"\n"
"# Radios. Take the figures from the data sheets of your equipment; these are made up.\n"
"#   erp          power sent, in dBm relative to a half-wave dipole; leave it out for what only listens\n"
"#   gain         of the antenna when it receives, dBi\n"
"#   sensitivity  the weakest level it understands, dBm; leave it out for what only sends\n"
"#   twoway=yes   is judged both ways, and the worse way counts\n"
"radio     hub     \"Control panel\"     erp=14dBm  gain=0dBi   sensitivity=-106dBm  twoway=yes  mains=yes\n"
"radio     sensor  \"Battery detector\"  erp=8dBm\n"
"radio     both    \"Two-way device\"    erp=10dBm  gain=-3dBi  sensitivity=-104dBm  twoway=yes\n"
"\n"
"# How many devices of which kinds the receiver can hold.\n"
"capacity  hub  movement,contact,flood=32  keypad=4  sounder=4  fob=16\n"
"\n";

static const char HOUSE[] =
"# A storey: the level of its floor and the height below its ceiling. What follows belongs to it.\n"
"storey    ground  \"Ground floor\"  level=0m  height=2.4m\n"
"\n"
"# Walls: a material, then the corners along the wall's middle. 'earshot materials' lists the materials.\n"
"wall      brick-cavity      0,0 10,0 10,8 0,8 0,0     # closed: the first point comes again at the end\n"
"wall      dense-block-100   4,0 4,8\n"
"wall      stud              4,3.5 10,3.5\n"
"slab      timber-floor      0,0 10,0 10,8 0,8         # the ceiling above this storey\n"
"\n"
"# Doors and windows lie on a wall and take its place there. sill= and head= are heights above the floor.\n"
"door      4.6,0 5.5,0       material=composite-door  label=\"Front door\"\n"
"door      0,5.6 0,6.5       material=upvc-door       label=\"Kitchen door\"\n"
"door      4,2.2 4,3.0\n"
"door      6.0,3.5 6.8,3.5\n"
"window    1.0,0 3.0,0\n"
"window    6.8,0 9.0,0\n"
"window    10,5.0 10,6.8     material=double-glazing  sill=0.9m  head=2.1m\n"
"window    1.2,8 2.8,8       sill=1.05m\n"
"\n"
"# A block is a solid thing: a tank, a fridge, a rack.\n"
"block     metal             0.2,7.2 0.85,7.2 0.85,7.85 0.2,7.85  from=0m to=1.8m  label=\"Fridge-freezer\"\n"
"\n";

static const char DEVICES[] =
"# The receiver to be heard by. on= is what it is fixed to: free, plaster, wood, masonry or metal.\n"
"receiver  panel       4.2,7.0    at=1.6m   radio=hub  on=masonry  label=\"Store cupboard\"\n"
"\n"
"# Devices: name, kind, place, height. Kinds: movement contact shock glass smoke heat carbon-monoxide gas flood panic\n"
"# keypad sounder fob output other. Put them a few centimetres off the wall, on the side where they hang.\n"
"device    front-door   contact   4.55,0.16  at=2.0m   radio=sensor  on=wood     label=\"Front door contact\"\n"
"device    kitchen-door contact   0.16,6.55  at=2.0m   radio=sensor  on=wood     label=\"Kitchen door contact\"\n"
"device    living       movement  9.82,0.2   at=2.2m   radio=sensor  on=plaster  label=\"Living room movement detector\"\n"
"device    kitchen      movement  0.2,0.2    at=2.2m   radio=sensor  on=plaster  label=\"Kitchen movement detector\"\n"
"device    kitchen-leak flood     1.0,7.4    at=0.05m  radio=sensor  on=free     label=\"Leak detector by the sink\"\n"
"device    keypad       keypad    4.2,1.2    at=1.4m   radio=both    on=masonry  label=\"Keypad in the hall\"\n"
"device    fob          fob       5.0,-3.0   at=1.1m   radio=sensor              label=\"Key fob on the path\"\n"
"\n"
"# A mount is a place where a repeater may go, should one be needed.\n"
"mount     back-room    9.8,6.9   at=2.0m  mains=yes  on=masonry  label=\"Back room, by the window\"\n"
"\n";

static const char GARAGE[] =
"# The garage stands by itself, so it is a storey of its own on the same level.\n"
"storey    garage  \"Garage\"  level=0m  height=2.6m\n"
"wall      dense-block-215   24,1 30,1 30,7 24,7 24,1\n"
"slab      metal-roof        24,1 30,1 30,7 24,7\n"
"door      30,2.5 30,5.5     material=garage-door  head=2.2m  label=\"Up-and-over door\"\n"
"door      24,5.4 24,6.3     material=steel-door             label=\"Side door\"\n"
"device    garage-move  movement  29.8,6.8   at=2.2m   radio=sensor  on=masonry  label=\"Garage movement detector\"\n"
"device    garage-door  contact   29.9,2.4   at=2.0m   radio=sensor  on=metal    label=\"Garage door contact\"\n"
"\n"
"# A scene is a what-if: earshot check --scene shutters THIS-FILE\n"
"scene     shutters  \"Shutters down\"  swap=double-glazing:roller-shutter\n";
/* clang-format on */

const char *const CLI_STARTER[CLI_STARTER_PARTS] = {ABOUT, HOUSE, DEVICES, GARAGE};
