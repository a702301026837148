/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/statements.h"

#include <math.h>
#include <string.h>

#include "plan/untabled.h"

/* Bounds of what can be meant. They catch a slip of the pen (mm for m, a forgotten sign), no more; common practice, no
 * source. */
#define FAR_M 100000.0   /* coordinates */
#define HIGH_M 200.0     /* heights within a storey */
#define LEVEL_M 1000.0   /* level of a storey */
#define LOSS_DB 200.0    /* loss of one wall */
#define MOUNTING_DB 60.0 /* loss by mounting or body */
#define MOST_COST 1e5    /* of one thing or one metre */

#define AT(T, member) .at = offsetof(T, member)
#define RANGE(a, b) .low = (a), .high = (b)
#define REQUIRED .required = true
#define NAME(T)                                                                                                        \
    {                                                                                                                  \
        .key = "NAME", .type = ES_FIELD_NAME, .positional = true, REQUIRED, AT(T, name)                                \
    }
#define LABEL(T)                                                                                                       \
    {                                                                                                                  \
        .key = "label", .type = ES_FIELD_LABEL, AT(T, label)                                                           \
    }
#define MATERIAL(T)                                                                                                    \
    {                                                                                                                  \
        .key = "MATERIAL", .type = ES_FIELD_REFERENCE, .positional = true, REQUIRED, AT(T, material),                  \
        .space = ES_SPACE_MATERIAL                                                                                     \
    }
#define POINTS(T, least_points, is_closed)                                                                             \
    {                                                                                                                  \
        .key = "x,y", .type = ES_FIELD_POINTS, .positional = true, REQUIRED, AT(T, point),                             \
        .count_at = offsetof(T, n_points), .least = (least_points), .closed = (is_closed), RANGE(-FAR_M, FAR_M)        \
    }
#define POINT(T, member)                                                                                               \
    {                                                                                                                  \
        .key = "x,y", .type = ES_FIELD_POINT, .positional = true, REQUIRED, AT(T, member), RANGE(-FAR_M, FAR_M)        \
    }
#define QUANTITY(name, T, member, unit, low_end, high_end)                                                             \
    {                                                                                                                  \
        .key = (name), .type = ES_FIELD_QUANTITY, .dimension = (unit), AT(T, member), RANGE(low_end, high_end)         \
    }
#define COUNT(name, T, member, low_end, high_end)                                                                      \
    {                                                                                                                  \
        .key = (name), .type = ES_FIELD_COUNT, AT(T, member), RANGE(low_end, high_end)                                 \
    }
#define FLAG(name, T, member)                                                                                          \
    {                                                                                                                  \
        .key = (name), .type = ES_FIELD_FLAG, AT(T, member)                                                            \
    }
#define CHOICE(name, T, member, words)                                                                                 \
    {                                                                                                                  \
        .key = (name), .type = ES_FIELD_CHOICE, AT(T, member), .choice = (words)                                       \
    }
#define SOURCE(T)                                                                                                      \
    {                                                                                                                  \
        .key = "source", .type = ES_FIELD_TEXT, AT(T, source)                                                          \
    }
#define HEIGHT_ABOVE_FLOOR(T)                                                                                          \
    {                                                                                                                  \
        .key = "at", .type = ES_FIELD_QUANTITY, .dimension = ES_LENGTH, REQUIRED, AT(T, at_m), RANGE(-HIGH_M, HIGH_M)  \
    }

static const es_choice BASIS[] = {{"measured", EARSHOT_BASIS_MEASURED},   {"published", EARSHOT_BASIS_PUBLISHED},
                                  {"computed", EARSHOT_BASIS_COMPUTED},   {"extrapolated", EARSHOT_BASIS_EXTRAPOLATED},
                                  {"judgement", EARSHOT_BASIS_JUDGEMENT}, {NULL, 0}};
static const es_choice ANTENNA[] = {{"isotropic", EARSHOT_ANTENNA_ISOTROPIC},
                                    {"vertical", EARSHOT_ANTENNA_VERTICAL},
                                    {"horizontal-x", EARSHOT_ANTENNA_HORIZONTAL_X},
                                    {"horizontal-y", EARSHOT_ANTENNA_HORIZONTAL_Y},
                                    {"dipole-vertical", EARSHOT_ANTENNA_DIPOLE_VERTICAL},
                                    {"dipole-x", EARSHOT_ANTENNA_DIPOLE_X},
                                    {"dipole-y", EARSHOT_ANTENNA_DIPOLE_Y},
                                    {NULL, 0}};
static const es_choice NOISE[] = {
    {"none", EARSHOT_NOISE_NONE},   {"city", EARSHOT_NOISE_CITY},   {"residential", EARSHOT_NOISE_RESIDENTIAL},
    {"rural", EARSHOT_NOISE_RURAL}, {"quiet", EARSHOT_NOISE_QUIET}, {NULL, 0}};
static const es_choice FIXING[] = {{"free", EARSHOT_FIXING_FREE},   {"plaster", EARSHOT_FIXING_PLASTER},
                                   {"wood", EARSHOT_FIXING_WOOD},   {"masonry", EARSHOT_FIXING_MASONRY},
                                   {"metal", EARSHOT_FIXING_METAL}, {NULL, 0}};
static const es_choice WIRING[] = {{"wire", EARSHOT_WIRING_MUST}, {"radio", EARSHOT_WIRING_CANNOT}, {NULL, 0}};

const es_choice es_kind_words[] = {{"movement", EARSHOT_KIND_MOVEMENT},
                                   {"contact", EARSHOT_KIND_CONTACT},
                                   {"shock", EARSHOT_KIND_SHOCK},
                                   {"glass", EARSHOT_KIND_GLASS},
                                   {"smoke", EARSHOT_KIND_SMOKE},
                                   {"heat", EARSHOT_KIND_HEAT},
                                   {"carbon-monoxide", EARSHOT_KIND_CARBON_MONOXIDE},
                                   {"gas", EARSHOT_KIND_GAS},
                                   {"flood", EARSHOT_KIND_FLOOD},
                                   {"panic", EARSHOT_KIND_PANIC},
                                   {"keypad", EARSHOT_KIND_KEYPAD},
                                   {"sounder", EARSHOT_KIND_SOUNDER},
                                   {"fob", EARSHOT_KIND_FOB},
                                   {"output", EARSHOT_KIND_OUTPUT},
                                   {"other", EARSHOT_KIND_OTHER},
                                   {NULL, 0}};

static const es_field SITE[] = {
    {.key = "TEXT", .type = ES_FIELD_TEXT, .positional = true, REQUIRED, AT(earshot_plan, site)},
};
static const es_field GROUND[] = {
    {.key = "CLASS",
     .type = ES_FIELD_GROUND,
     .positional = true,
     REQUIRED,
     AT(earshot_plan, ground),
     .space = ES_SPACE_ELECTRICAL},
};
static const es_field NEED[] = {
    QUANTITY("margin", earshot_plan, need_margin_db, ES_RATIO, 0, 60),
    QUANTITY("confidence", earshot_plan, need_confidence, ES_SHARE, 0.5, 99.99 / 100.0),
    COUNT("repeaters", earshot_plan, need_repeaters, 0, 1000),
};
static const es_field INPUTS[] = {
    COUNT("onboard", earshot_plan, inputs.onboard, 0, 10000),
    COUNT("expander", earshot_plan, inputs.expander, 0, 10000),
    COUNT("expanders", earshot_plan, inputs.expanders, 0, 1000),
};
static const es_field COST[] = {
    QUANTITY("repeater", earshot_plan, cost.repeater, ES_PLAIN, 0, MOST_COST),
    QUANTITY("cable", earshot_plan, cost.cable, ES_PLAIN, 0, MOST_COST),
    QUANTITY("across", earshot_plan, cost.across, ES_PLAIN, 0, MOST_COST),
    QUANTITY("outdoor", earshot_plan, cost.outdoor, ES_PLAIN, 0, MOST_COST),
    QUANTITY("wall", earshot_plan, cost.wall, ES_PLAIN, 0, MOST_COST),
    QUANTITY("slab", earshot_plan, cost.slab, ES_PLAIN, 0, MOST_COST),
    QUANTITY("point", earshot_plan, cost.point, ES_PLAIN, 0, MOST_COST),
    QUANTITY("expander", earshot_plan, cost.expander, ES_PLAIN, 0, MOST_COST),
};
static const es_field USE[] = {
    {.key = "FILE", .type = ES_FIELD_TEXT, .positional = true, REQUIRED, AT(earshot_use, path)},
};
static const es_field ELECTRICAL[] = {
    NAME(earshot_electrical),
    LABEL(earshot_electrical),
    {.key = "a",
     .type = ES_FIELD_QUANTITY,
     .dimension = ES_PLAIN,
     REQUIRED,
     AT(earshot_electrical, a),
     RANGE(0.01, 1e4)},
    QUANTITY("b", earshot_electrical, b, ES_PLAIN, -10, 10),
    QUANTITY("c", earshot_electrical, c, ES_PLAIN, 0, 1e9),
    QUANTITY("d", earshot_electrical, d, ES_PLAIN, -10, 10),
    QUANTITY("from", earshot_electrical, from_hz, ES_FREQUENCY, 1e3, 1e12),
    QUANTITY("to", earshot_electrical, to_hz, ES_FREQUENCY, 1e3, 1e12),
    FLAG("conductor", earshot_electrical, conductor),
    SOURCE(earshot_electrical),
};
static const es_field MATERIAL_FIELDS[] = {
    NAME(earshot_material),
    LABEL(earshot_material),
    {.key = "layers",
     .type = ES_FIELD_LAYERS,
     AT(earshot_material, layer),
     .count_at = offsetof(earshot_material, n_layers),
     RANGE(1e-5, 10)},
    {.key = "loss",
     .type = ES_FIELD_LOSSES,
     AT(earshot_material, loss),
     .count_at = offsetof(earshot_material, n_losses),
     RANGE(0, LOSS_DB)},
    QUANTITY("spread", earshot_material, spread_db, ES_RATIO, 0, 40),
    CHOICE("basis", earshot_material, basis, BASIS),
    FLAG("replaces", earshot_material, replaces),
    SOURCE(earshot_material),
};
static const es_field RADIO[] = {
    NAME(earshot_radio),
    LABEL(earshot_radio),
    QUANTITY("band", earshot_radio, band_hz, ES_FREQUENCY, 100e6, 6e9),
    QUANTITY("erp", earshot_radio, erp_dbm, ES_LEVEL, -80, 60),
    QUANTITY("gain", earshot_radio, gain_dbi, ES_GAIN, -60, 40),
    QUANTITY("sensitivity", earshot_radio, sensitivity_dbm, ES_LEVEL, -170, 0),
    FLAG("twoway", earshot_radio, two_way),
    FLAG("mains", earshot_radio, needs_mains),
    COUNT("channels", earshot_radio, channels, 1, 1000),
    COUNT("hops", earshot_radio, hops, 0, 64),
    CHOICE("antenna", earshot_radio, antenna, ANTENNA),
    CHOICE("noise", earshot_radio, noise, NOISE),
    QUANTITY("figure", earshot_radio, noise_figure_db, ES_RATIO, 0, 60),
    QUANTITY("bandwidth", earshot_radio, bandwidth_hz, ES_FREQUENCY, 1, 100e6),
    QUANTITY("snr", earshot_radio, snr_db, ES_RATIO, -40, 60),
    QUANTITY("messages", earshot_radio, messages_per_hour, ES_PLAIN, 0, 1e6),
    QUANTITY("airtime", earshot_radio, airtime_s, ES_TIME, 1e-6, 60),
};
static const es_field STOREY[] = {
    NAME(earshot_storey),
    LABEL(earshot_storey),
    {.key = "level",
     .type = ES_FIELD_QUANTITY,
     .dimension = ES_LENGTH,
     REQUIRED,
     AT(earshot_storey, level_m),
     RANGE(-LEVEL_M, LEVEL_M)},
    {.key = "height",
     .type = ES_FIELD_QUANTITY,
     .dimension = ES_LENGTH,
     REQUIRED,
     AT(earshot_storey, height_m),
     RANGE(0.1, HIGH_M)},
};
static const es_field WALL[] = {
    MATERIAL(earshot_wall),
    POINTS(earshot_wall, 2, false),
    QUANTITY("from", earshot_wall, from_m, ES_LENGTH, -HIGH_M, HIGH_M),
    QUANTITY("to", earshot_wall, to_m, ES_LENGTH, -HIGH_M, HIGH_M),
    LABEL(earshot_wall),
};
static const es_field OPENING[] = {
    POINT(earshot_opening, a),
    POINT(earshot_opening, b),
    {.key = "material", .type = ES_FIELD_REFERENCE, AT(earshot_opening, material), .space = ES_SPACE_MATERIAL},
    QUANTITY("sill", earshot_opening, sill_m, ES_LENGTH, -HIGH_M, HIGH_M),
    QUANTITY("head", earshot_opening, head_m, ES_LENGTH, -HIGH_M, HIGH_M),
    LABEL(earshot_opening),
};
static const es_field SLAB[] = {
    MATERIAL(earshot_slab),
    POINTS(earshot_slab, 3, true),
    QUANTITY("at", earshot_slab, at_m, ES_LENGTH, -HIGH_M, HIGH_M),
    LABEL(earshot_slab),
};
static const es_field HOLE[] = {POINTS(earshot_hole, 3, true)};
static const es_field BLOCK[] = {
    MATERIAL(earshot_block),
    POINTS(earshot_block, 3, true),
    QUANTITY("from", earshot_block, from_m, ES_LENGTH, -HIGH_M, HIGH_M),
    QUANTITY("to", earshot_block, to_m, ES_LENGTH, -HIGH_M, HIGH_M),
    LABEL(earshot_block),
};
static const es_field RECEIVER[] = {
    NAME(earshot_receiver),
    POINT(earshot_receiver, point),
    HEIGHT_ABOVE_FLOOR(earshot_receiver),
    {.key = "radio", .type = ES_FIELD_REFERENCE, REQUIRED, AT(earshot_receiver, radio), .space = ES_SPACE_RADIO},
    CHOICE("on", earshot_receiver, fixing, FIXING),
    QUANTITY("mounting", earshot_receiver, mounting_db, ES_RATIO, 0, MOUNTING_DB),
    LABEL(earshot_receiver),
};
static const es_field MOUNT[] = {
    NAME(earshot_mount),
    POINT(earshot_mount, point),
    HEIGHT_ABOVE_FLOOR(earshot_mount),
    FLAG("mains", earshot_mount, mains),
    FLAG("receiver", earshot_mount, receiver),
    FLAG("repeater", earshot_mount, repeater),
    {.key = "radio", .type = ES_FIELD_REFERENCE, AT(earshot_mount, radio), .space = ES_SPACE_RADIO},
    CHOICE("on", earshot_mount, fixing, FIXING),
    QUANTITY("mounting", earshot_mount, mounting_db, ES_RATIO, 0, MOUNTING_DB),
    LABEL(earshot_mount),
};
static const es_field DEVICE[] = {
    NAME(earshot_device),
    {.key = "KIND",
     .type = ES_FIELD_CHOICE,
     .positional = true,
     REQUIRED,
     AT(earshot_device, kind),
     .choice = es_kind_words},
    POINT(earshot_device, point),
    HEIGHT_ABOVE_FLOOR(earshot_device),
    {.key = "radio", .type = ES_FIELD_REFERENCE, AT(earshot_device, radio), .space = ES_SPACE_RADIO},
    CHOICE("on", earshot_device, fixing, FIXING),
    QUANTITY("mounting", earshot_device, mounting_db, ES_RATIO, 0, MOUNTING_DB),
    QUANTITY("body", earshot_device, body_db, ES_RATIO, 0, MOUNTING_DB),
    CHOICE("link", earshot_device, wiring, WIRING),
    QUANTITY("current", earshot_device, current_a, ES_CURRENT, 0, 100),
    LABEL(earshot_device),
};
static const es_field SCENE[] = {
    NAME(earshot_scene),
    LABEL(earshot_scene),
    {.key = "swap",
     .type = ES_FIELD_SWAPS,
     REQUIRED,
     AT(earshot_scene, swap),
     .count_at = offsetof(earshot_scene, n_swaps)},
};

static const es_field AVOID[] = {
    POINTS(earshot_avoid, 3, true),
    LABEL(earshot_avoid),
};

static const earshot_electrical NEW_ELECTRICAL = {.from_hz = NAN, .to_hz = NAN};
static const earshot_material NEW_MATERIAL = {.spread_db = NAN};
static const earshot_radio NEW_RADIO = {.band_hz = NAN,
                                        .erp_dbm = NAN,
                                        .sensitivity_dbm = NAN,
                                        .channels = 1,
                                        .hops = 1,
                                        .noise_figure_db = NAN,
                                        .bandwidth_hz = NAN,
                                        .snr_db = NAN,
                                        .messages_per_hour = NAN,
                                        .airtime_s = NAN};
static const earshot_storey NEW_STOREY = {.level_m = NAN, .height_m = NAN};
static const earshot_wall NEW_WALL = {.from_m = NAN, .to_m = NAN};
/* Heights that are not stated follow from the wall: check_opening.c. */
static const earshot_opening NEW_DOOR = {.material = "timber-door", .sill_m = NAN, .head_m = NAN};
static const earshot_opening NEW_WINDOW = {.material = "double-glazing", .window = true, .sill_m = NAN, .head_m = NAN};
static const earshot_slab NEW_SLAB = {.at_m = NAN};
static const earshot_hole NEW_HOLE = {0};
static const earshot_avoid NEW_AVOID = {0};
static const earshot_block NEW_BLOCK = {.from_m = NAN, .to_m = NAN};
static const earshot_receiver NEW_RECEIVER = {.at_m = NAN, .mounting_db = NAN};
static const earshot_mount NEW_MOUNT = {.receiver = true, .at_m = NAN, .mounting_db = NAN};
static const earshot_device NEW_DEVICE = {.at_m = NAN, .mounting_db = NAN, .body_db = NAN, .current_a = NAN};
static const earshot_scene NEW_SCENE = {0};
static const earshot_use NEW_USE = {0};
static const earshot_capacity NEW_CAPACITY = {0};

#define FIELDS(fields) .field = (fields), .n_fields = sizeof(fields) / sizeof(fields)[0]
#define IN_STOREY(type) .in_storey = true, .storey_at = offsetof(type, storey)

const es_statement es_statements[] = {
    {"plan", "plan 1", ES_LIST_NONE, .read = es_read_plan},
    {"site", "site \"TEXT\"", ES_LIST_NONE, FIELDS(SITE), .once = true},
    {"band", "band F [F ...]", ES_LIST_NONE, .once = true, .read = es_read_band},
    {"ground", "ground CLASS|none", ES_LIST_NONE, FIELDS(GROUND), .once = true},
    {"need", "need [margin=dB] [confidence=%] [repeaters=N]", ES_LIST_NONE, FIELDS(NEED), .once = true},
    {"inputs", "inputs [onboard=N] [expander=N] [expanders=N]", ES_LIST_NONE, FIELDS(INPUTS), .once = true},
    {"cost", "cost [repeater=N] [cable=N] [across=N] [outdoor=N] [wall=N] [slab=N] [point=N] [expander=N]",
     ES_LIST_NONE, FIELDS(COST), .once = true},
    {"use", "use \"FILE\"", ES_LIST_USE, FIELDS(USE), &NEW_USE},
    {"electrical", "electrical NAME a= [b= c= d=] [from= to=] [conductor=yes] [source=\"...\"]", ES_LIST_ELECTRICAL,
     FIELDS(ELECTRICAL), &NEW_ELECTRICAL, ES_SPACE_ELECTRICAL},
    {"material", "material NAME [\"LABEL\"] [layers=CLASS:THICKNESS,...] [loss=MHz:dB,...] [spread=dB]",
     ES_LIST_MATERIAL, FIELDS(MATERIAL_FIELDS), &NEW_MATERIAL, ES_SPACE_MATERIAL},
    {"radio", "radio NAME [\"LABEL\"] [band=MHz] [erp=dBm] [gain=dBi] [sensitivity=dBm] [twoway=yes|no] ...",
     ES_LIST_RADIO, FIELDS(RADIO), &NEW_RADIO, ES_SPACE_RADIO},
    {"capacity", "capacity RADIO KIND[,KIND ...]=N ...", ES_LIST_CAPACITY, .fresh = &NEW_CAPACITY,
     .read = es_read_capacity},
    {"storey", "storey NAME [\"LABEL\"] level=m height=m", ES_LIST_STOREY, FIELDS(STOREY), &NEW_STOREY,
     ES_SPACE_STOREY},
    {"slab", "slab MATERIAL x,y x,y x,y [x,y ...] [at=m]", ES_LIST_SLAB, FIELDS(SLAB), &NEW_SLAB,
     IN_STOREY(earshot_slab)},
    {"hole", "hole x,y x,y x,y [x,y ...]", ES_LIST_HOLE, FIELDS(HOLE), &NEW_HOLE, IN_STOREY(earshot_hole)},
    {"wall", "wall MATERIAL x,y x,y [x,y ...] [from=m] [to=m]", ES_LIST_WALL, FIELDS(WALL), &NEW_WALL,
     IN_STOREY(earshot_wall)},
    {"door", "door x,y x,y [material=NAME] [sill=m] [head=m]", ES_LIST_OPENING, FIELDS(OPENING), &NEW_DOOR,
     IN_STOREY(earshot_opening)},
    {"window", "window x,y x,y [material=NAME] [sill=m] [head=m]", ES_LIST_OPENING, FIELDS(OPENING), &NEW_WINDOW,
     IN_STOREY(earshot_opening)},
    {"block", "block MATERIAL x,y x,y x,y [x,y ...] [from=m] [to=m]", ES_LIST_BLOCK, FIELDS(BLOCK), &NEW_BLOCK,
     IN_STOREY(earshot_block)},
    {"avoid", "avoid x,y x,y x,y [x,y ...]", ES_LIST_AVOID, FIELDS(AVOID), &NEW_AVOID, IN_STOREY(earshot_avoid)},
    {"receiver", "receiver NAME x,y at=m radio=NAME [on=FIXING] [mounting=dB]", ES_LIST_RECEIVER, FIELDS(RECEIVER),
     &NEW_RECEIVER, ES_SPACE_POST, IN_STOREY(earshot_receiver)},
    {"mount", "mount NAME x,y at=m [mains=yes|no] [radio=NAME] [receiver=no] [repeater=yes] [on=FIXING]", ES_LIST_MOUNT,
     FIELDS(MOUNT), &NEW_MOUNT, ES_SPACE_POST, IN_STOREY(earshot_mount)},
    {"device", "device NAME KIND x,y at=m radio=NAME [on=FIXING] [link=wire|radio] ...", ES_LIST_DEVICE, FIELDS(DEVICE),
     &NEW_DEVICE, ES_SPACE_DEVICE, IN_STOREY(earshot_device)},
    {"scene", "scene NAME [\"LABEL\"] swap=FROM:TO[,FROM:TO ...]", ES_LIST_SCENE, FIELDS(SCENE), &NEW_SCENE,
     ES_SPACE_SCENE},
};
const size_t es_n_statements = sizeof es_statements / sizeof es_statements[0];

#define LIST(type, items, count, most, plural_noun)                                                                    \
    {                                                                                                                  \
        sizeof(type), offsetof(earshot_plan, items), offsetof(earshot_plan, count), (most), (plural_noun)              \
    }

const es_list_info es_lists[ES_LISTS] = {
    [ES_LIST_ELECTRICAL] =
        LIST(earshot_electrical, electrical, n_electricals, EARSHOT_MAX_THINGS, "electrical classes"),
    [ES_LIST_MATERIAL] = LIST(earshot_material, material, n_materials, EARSHOT_MAX_THINGS, "materials"),
    [ES_LIST_RADIO] = LIST(earshot_radio, radio, n_radios, EARSHOT_MAX_THINGS, "radios"),
    [ES_LIST_CAPACITY] = LIST(earshot_capacity, capacity, n_capacities, EARSHOT_MAX_THINGS, "capacities"),
    [ES_LIST_STOREY] = LIST(earshot_storey, storey, n_storeys, EARSHOT_MAX_STOREYS, "storeys"),
    [ES_LIST_WALL] = LIST(earshot_wall, wall, n_walls, EARSHOT_MAX_WALLS, "walls"),
    [ES_LIST_OPENING] = LIST(earshot_opening, opening, n_openings, EARSHOT_MAX_WALLS, "doors and windows"),
    [ES_LIST_SLAB] = LIST(earshot_slab, slab, n_slabs, EARSHOT_MAX_THINGS, "slabs"),
    [ES_LIST_HOLE] = LIST(earshot_hole, hole, n_holes, EARSHOT_MAX_THINGS, "holes"),
    [ES_LIST_BLOCK] = LIST(earshot_block, block, n_blocks, EARSHOT_MAX_THINGS, "blocks"),
    [ES_LIST_RECEIVER] = LIST(earshot_receiver, receiver, n_receivers, EARSHOT_MAX_THINGS, "receivers"),
    [ES_LIST_MOUNT] = LIST(earshot_mount, mount, n_mounts, EARSHOT_MAX_THINGS, "mounts"),
    [ES_LIST_DEVICE] = LIST(earshot_device, device, n_devices, EARSHOT_MAX_DEVICES, "devices"),
    [ES_LIST_SCENE] = LIST(earshot_scene, scene, n_scenes, EARSHOT_MAX_THINGS, "scenes"),
    [ES_LIST_AVOID] = LIST(earshot_avoid, avoid, n_avoids, EARSHOT_MAX_THINGS, "areas to avoid"),
    [ES_LIST_USE] = LIST(earshot_use, use, n_uses, EARSHOT_MAX_THINGS, "uses"),
};

const es_statement *es_statement_find(const char *keyword, size_t n)
{
    for (size_t i = 0; i < es_n_statements; i++) {
        const char *known = es_statements[i].keyword;
        if (strlen(known) == n && memcmp(known, keyword, n) == 0) return &es_statements[i];
    }
    return NULL;
}

const es_statement *es_statement_of(es_list_id list, const void *item)
{
    for (size_t i = 0; i < es_n_statements; i++) {
        if (es_statements[i].list != list) continue;
        if (list != ES_LIST_OPENING) return &es_statements[i];
        const earshot_opening *fresh = es_statements[i].fresh, *opening = item;
        if (fresh->window == opening->window) return &es_statements[i];
    }
    return NULL;
}

const es_field *es_field_find(const es_statement *statement, const char *key, size_t n)
{
    for (size_t i = 0; i < statement->n_fields; i++) {
        const es_field *field = &statement->field[i];
        if (!field->positional && strlen(field->key) == n && memcmp(field->key, key, n) == 0) return field;
    }
    return NULL;
}
