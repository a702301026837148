/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  The plan: what the surveyor wrote, as data. Reading, checking and writing the plan language,
 *  version 1 (docs/plan-language.md).
 *
 *  The structs below are plain data. All memory (arrays and strings) belongs to the earshot_plan and
 *  lives until earshot_plan_free. A plan that has been read is not changed by any other call, so
 *  threads may share it. Lengths are metres, frequencies hertz, levels dBm, gains and losses decibels.
 *  A number that was not stated is NAN; a name that was not stated is NULL.
 */
#ifndef EARSHOT_PLAN_H
#define EARSHOT_PLAN_H

#include <stdbool.h>
#include <stddef.h>

#include "earshot/error.h"

#ifdef __cplusplus
extern "C" {
#endif

enum {
    EARSHOT_MAX_WALLS = 100000, /**< straight pieces of wall, after splitting polylines */
    EARSHOT_MAX_DEVICES = 10000,
    EARSHOT_MAX_STOREYS = 64,
    EARSHOT_MAX_TEXT = 16 * 1024 * 1024, /**< bytes of plan text, includes counted */
    EARSHOT_MAX_INCLUDE_DEPTH = 8,
    EARSHOT_MAX_BANDS = 8,
    EARSHOT_MAX_THINGS = 10000, /**< of every other kind: materials, slabs, blocks ...; doors and windows: as walls */
    EARSHOT_MAX_CORNERS = 500,  /**< of one polygon */
    EARSHOT_MAX_NAME = 64       /**< bytes of a name */
};

/** Where in the text a statement stands. file indexes earshot_plan.file. */
typedef struct earshot_place {
    unsigned file, line, column, width;
} earshot_place;

/** A point of the ground plan: x to the right, y up the page, metres. */
typedef struct earshot_point {
    double x_m, y_m;
} earshot_point;

/** How a value came to be known. */
typedef enum earshot_basis {
    EARSHOT_BASIS_UNSTATED,
    EARSHOT_BASIS_MEASURED,     /**< measured near 433 or 868 MHz, published */
    EARSHOT_BASIS_PUBLISHED,    /**< printed in a standard or handbook, not itself a measurement there */
    EARSHOT_BASIS_COMPUTED,     /**< from electrical parameters, inside their frequency range */
    EARSHOT_BASIS_EXTRAPOLATED, /**< from parameters or data outside their frequency range */
    EARSHOT_BASIS_JUDGEMENT     /**< common practice or engineering judgement, no source */
} earshot_basis;

/** `electrical NAME a= b= c= d= from= to=`: eps' = a f^b, sigma = c f^d S/m, f in GHz (ITU-R P.2040). */
typedef struct earshot_electrical {
    earshot_place place;
    const char *name, *label, *source;
    double a, b, c, d;
    double from_hz, to_hz; /**< range stated by the source */
    bool conductor;        /**< closed metal: reflects all */
    bool builtin;
} earshot_electrical;

typedef struct earshot_layer {
    const char *electrical;
    double thickness_m;
} earshot_layer;

typedef struct earshot_loss_entry {
    double frequency_hz, loss_db;
} earshot_loss_entry;

/** `material NAME "label" layers= loss= spread= basis= replaces= source=`. */
typedef struct earshot_material {
    earshot_place place;
    const char *name, *label, *source;
    const earshot_layer *layer;
    size_t n_layers;
    const earshot_loss_entry *loss; /**< by rising frequency */
    size_t n_losses;
    double spread_db;    /**< standard deviation from one building to the next; NAN: not stated (3 dB is used) */
    earshot_basis basis; /**< of the loss table */
    bool replaces;       /**< takes the place of another material of this name, wherever that is stated */
    bool builtin;
} earshot_material;

typedef enum earshot_antenna {
    EARSHOT_ANTENNA_ISOTROPIC, /**< unknown: no direction favoured */
    EARSHOT_ANTENNA_VERTICAL,  /**< short element, upright */
    EARSHOT_ANTENNA_HORIZONTAL_X,
    EARSHOT_ANTENNA_HORIZONTAL_Y,
    EARSHOT_ANTENNA_DIPOLE_VERTICAL, /**< half-wave dipole, upright */
    EARSHOT_ANTENNA_DIPOLE_X,
    EARSHOT_ANTENNA_DIPOLE_Y
} earshot_antenna;

typedef enum earshot_noise {
    EARSHOT_NOISE_NONE,
    EARSHOT_NOISE_CITY,
    EARSHOT_NOISE_RESIDENTIAL,
    EARSHOT_NOISE_RURAL,
    EARSHOT_NOISE_QUIET
} earshot_noise;

/** `radio NAME band= erp= gain= sensitivity= twoway= ...`. The same name may stand once per band. */
typedef struct earshot_radio {
    earshot_place place;
    const char *name, *label;
    double band_hz;         /**< NAN: any band of the plan */
    double erp_dbm;         /**< transmitted, relative to a half-wave dipole; NAN: it does not transmit */
    double gain_dbi;        /**< of the antenna when receiving; 0 when not stated */
    double sensitivity_dbm; /**< NAN: it does not receive */
    bool two_way;
    bool needs_mains;
    unsigned channels; /**< 1 when not stated */
    unsigned hops;     /**< repeaters in a row that it allows; 1 when not stated */
    earshot_antenna antenna;
    earshot_noise noise;                          /**< external man-made noise, ITU-R P.372 */
    double noise_figure_db, bandwidth_hz, snr_db; /**< NAN: threshold is the sensitivity alone */
    double messages_per_hour, airtime_s;          /**< NAN when not stated */
} earshot_radio;

/** What a device is. The word in the plan is the lower-case tail of each name, with '-' for '_'. */
typedef enum earshot_kind {
    EARSHOT_KIND_MOVEMENT,
    EARSHOT_KIND_CONTACT,
    EARSHOT_KIND_SHOCK,
    EARSHOT_KIND_GLASS,
    EARSHOT_KIND_SMOKE,
    EARSHOT_KIND_HEAT,
    EARSHOT_KIND_CARBON_MONOXIDE,
    EARSHOT_KIND_GAS,
    EARSHOT_KIND_FLOOD,
    EARSHOT_KIND_PANIC, /**< personal attack button */
    EARSHOT_KIND_KEYPAD,
    EARSHOT_KIND_SOUNDER,
    EARSHOT_KIND_FOB,
    EARSHOT_KIND_OUTPUT, /**< relay module */
    EARSHOT_KIND_OTHER,
    EARSHOT_KINDS /**< how many there are */
} earshot_kind;

/** @return the word for a kind in the plan language, or NULL if out of range. Any thread. */
const char *earshot_kind_name(earshot_kind kind);
/** @return whether the kind guards life (smoke, heat, carbon monoxide, gas, personal attack). */
bool earshot_kind_is_life_safety(earshot_kind kind);
/** @return whether the kind is carried in the hand and so cannot be wired (fob, personal attack). */
bool earshot_kind_is_handheld(earshot_kind kind);

/** One entry of `capacity RADIO kinds=count ...`: together at most `count` of these kinds. */
typedef struct earshot_capacity {
    earshot_place place;
    const char *radio;
    unsigned kinds; /**< bit set, 1u << kind */
    unsigned count;
} earshot_capacity;

/** `storey NAME level= height=`: floor level and clear height below its ceiling. */
typedef struct earshot_storey {
    earshot_place place;
    const char *name, *label;
    double level_m, height_m;
} earshot_storey;

/** `wall MATERIAL x,y x,y ... [from= to=]`: upright, along its centre line. */
typedef struct earshot_wall {
    earshot_place place;
    const char *material, *label;
    unsigned storey;            /**< index into earshot_plan.storey */
    const earshot_point *point; /**< [n_points], 2 or more */
    size_t n_points;
    double from_m, to_m; /**< above the storey's level; NAN: floor, ceiling */
} earshot_wall;

/** `door x,y x,y [material= sill= head=]` and `window` the same. */
typedef struct earshot_opening {
    earshot_place place;
    const char *material, *label;
    unsigned storey;
    bool window;
    earshot_point a, b;
    double sill_m, head_m; /**< above the storey's level; when read: always stated or defaulted */
    size_t wall, piece;    /**< filled by the check: which wall and which straight piece of it carries it */
} earshot_opening;

/** `slab MATERIAL x,y ... [at=]`: horizontal; its underside is the storey's ceiling or `at`. */
typedef struct earshot_slab {
    earshot_place place;
    const char *material, *label;
    unsigned storey;
    const earshot_point *point; /**< [n_points] corners, 3 or more, not repeated at the end */
    size_t n_points;
    double at_m; /**< underside above the storey's level; NAN: the storey's height */
} earshot_slab;

/** `hole x,y ...`: an opening (stairwell, void) in every slab of its storey that it lies over. */
typedef struct earshot_hole {
    earshot_place place;
    unsigned storey;
    const earshot_point *point;
    size_t n_points;
} earshot_hole;

/** `block MATERIAL x,y ... from= to=`: a solid thing with upright sides. */
typedef struct earshot_block {
    earshot_place place;
    const char *material, *label;
    unsigned storey;
    const earshot_point *point;
    size_t n_points;
    double from_m, to_m; /**< NAN: floor, ceiling */
} earshot_block;

/** What a device or receiver is fixed to. */
typedef enum earshot_fixing {
    EARSHOT_FIXING_UNSTATED,
    EARSHOT_FIXING_FREE,
    EARSHOT_FIXING_PLASTER,
    EARSHOT_FIXING_WOOD,
    EARSHOT_FIXING_MASONRY,
    EARSHOT_FIXING_METAL
} earshot_fixing;

/** `receiver NAME x,y at= radio=`. Exactly one is judged; more are alternatives. */
typedef struct earshot_receiver {
    earshot_place place;
    const char *name, *label, *radio;
    unsigned storey;
    earshot_point point;
    double at_m; /**< above the storey's level */
    earshot_fixing fixing;
    double mounting_db; /**< NAN: from the fixing */
} earshot_receiver;

/** `mount NAME x,y at= [mains=] [radio=] [on=] [receiver=] [repeater=]`: a place a receiver or repeater may go. */
typedef struct earshot_mount {
    earshot_place place;
    const char *name, *label, *radio; /**< radio of a repeater there; NULL: that of the receiver */
    unsigned storey;
    earshot_point point;
    double at_m;
    bool mains;
    bool receiver; /**< a receiver may go there; true when not stated */
    bool repeater; /**< one is there already, or has been decided on */
    earshot_fixing fixing;
    double mounting_db;
} earshot_mount;

/** `avoid x,y ...`: no receiver or repeater may go there (bathroom, metal enclosure). */
typedef struct earshot_avoid {
    earshot_place place;
    const char *label;
    unsigned storey;
    const earshot_point *point;
    size_t n_points;
} earshot_avoid;

/** `inputs onboard= expander= expanders=`: how many wires the panel takes. */
typedef struct earshot_inputs {
    unsigned onboard;   /**< 8 when not stated */
    unsigned expander;  /**< more of them with each expander; 8 when not stated */
    unsigned expanders; /**< at most so many; 7 when not stated */
} earshot_inputs;

/** `cost repeater= cable= across= outdoor= wall= slab= point= expander=`: what things cost, in one unit of the user's
 *  choice. When not stated, a metre of cable along a wall is the unit. */
typedef struct earshot_costs {
    double repeater; /**< fitted; 40 */
    double cable;    /**< metre along a wall; 1 */
    double across;   /**< metre across a room; 1.5 */
    double outdoor;  /**< metre outdoors, with its duct; 6 */
    double wall;     /**< drilled wall; 4 */
    double slab;     /**< drilled slab; 8 */
    double point;    /**< fixed cost of a wired device; 12 */
    double expander; /**< of inputs; 30 */
} earshot_costs;

typedef enum earshot_wiring {
    EARSHOT_WIRING_MAY, /**< radio or wire, as it turns out */
    EARSHOT_WIRING_MUST,
    EARSHOT_WIRING_CANNOT
} earshot_wiring;

/** `device NAME KIND x,y at= radio= [on=] [mounting=] [body=] [link=wire|radio] [current=]`. */
typedef struct earshot_device {
    earshot_place place;
    const char *name, *label, *radio;
    earshot_kind kind;
    unsigned storey;
    earshot_point point;
    double at_m;
    earshot_fixing fixing;
    double mounting_db; /**< NAN: from the fixing */
    double body_db;     /**< NAN: from the kind */
    earshot_wiring wiring;
    double current_a; /**< drawn at 12 V when wired; NAN: not stated */
} earshot_device;

/** One `from:to` of `scene NAME swap=from:to,...`. */
typedef struct earshot_swap {
    const char *from, *to;
} earshot_swap;

typedef struct earshot_scene {
    earshot_place place;
    const char *name, *label;
    const earshot_swap *swap;
    size_t n_swaps;
} earshot_scene;

/** `use "file"`: other statements of that file carry its index in place.file. */
typedef struct earshot_use {
    earshot_place place;
    const char *path; /**< as written */
} earshot_use;

typedef struct earshot_plan {
    const char *const *file; /**< [n_files] names of the texts read; 0: the plan itself, 1: the built-in materials */
    size_t n_files;
    const char *site; /**< NULL when not stated */
    double band_hz[EARSHOT_MAX_BANDS];
    size_t n_bands; /**< at least 1 after a successful read: 868.30 MHz if none is stated */
    bool band_stated;
    const char *ground;                     /**< electrical class of open ground; NULL: none */
    double need_margin_db, need_confidence; /**< 10 dB and 0.95 when not stated */
    unsigned need_repeaters;                /**< at most so many may be used; 4 when not stated */
    bool need_stated;
    earshot_inputs inputs;
    earshot_costs cost;
    earshot_electrical *electrical;
    earshot_material *material; /**< the built-in ones first */
    earshot_radio *radio;
    earshot_capacity *capacity;
    earshot_storey *storey;
    earshot_wall *wall;
    earshot_opening *opening;
    earshot_slab *slab;
    earshot_hole *hole;
    earshot_block *block;
    earshot_receiver *receiver;
    earshot_mount *mount;
    earshot_device *device;
    earshot_scene *scene;
    earshot_use *use;
    earshot_avoid *avoid;
    size_t n_electricals, n_materials, n_radios, n_capacities, n_storeys, n_walls, n_openings, n_slabs, n_holes,
        n_blocks, n_receivers, n_mounts, n_devices, n_scenes, n_uses, n_avoids;
    struct es_arena *arena; /**< owns every string and array above */
} earshot_plan;

/** Read and check a plan from a file, with the built-in materials and whatever it uses.
 *  @param[in]  path      file to read; "-" is not special
 *  @param[out] plan      the plan, to be freed by the caller; NULL on failure
 *  @param[out] findings  mistakes (when it fails) and warnings (also when it succeeds)
 *  @return EARSHOT_OK; EARSHOT_PLAN_SYNTAX, EARSHOT_PLAN_INVALID or EARSHOT_PLAN_LIMIT (the first mistake's);
 *          EARSHOT_FILE_READ; EARSHOT_MEMORY. Any thread. */
earshot_status earshot_plan_read_file(const char *path, earshot_plan **plan, earshot_findings *findings);

/** The same from memory. `name` stands for the file in messages, and `use` is relative to its folder.
 *  @param[in] text  [size] bytes, need not end in NUL; may be anything, also not UTF-8 */
earshot_status earshot_plan_read(const char *text, size_t size, const char *name, earshot_plan **plan,
                                 earshot_findings *findings);

/** Write a plan as text: what it used from other files stays a `use`, built-in materials are not written.
 *  Reading it again gives an equal plan. @param[out] text  NUL-ended, free with earshot_text_free; NULL on failure
 *  @return EARSHOT_OK or EARSHOT_MEMORY. */
earshot_status earshot_plan_write(const earshot_plan *plan, char **text);

/** Whether two plans say the same (places in the text, comments and order of keys do not count). */
bool earshot_plan_equal(const earshot_plan *a, const earshot_plan *b);

/** Free a plan; NULL is fine. */
void earshot_plan_free(earshot_plan *plan);

/** Free a text that this library returned; NULL is fine. */
void earshot_text_free(char *text);

/** The built-in materials as plan text, NUL-ended, static. Any thread, never fails. */
const char *earshot_builtin_materials(void);

#ifdef __cplusplus
}
#endif
#endif
