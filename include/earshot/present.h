/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Results as text: tables, text maps, words, CSV, JSON. Each writer appends to an earshot_text and never prints.
 */
#ifndef EARSHOT_PRESENT_H
#define EARSHOT_PRESENT_H

#include "earshot/place.h"
#include "earshot/survey.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Growing text. Zero it before first use; free with earshot_text_clear. When memory runs out `failed` is set, and
 *  what is appended afterwards is dropped. */
typedef struct earshot_text {
    char *data; /**< NUL-ended once anything was added; NULL before */
    size_t size, capacity;
    bool failed;
} earshot_text;

void earshot_text_clear(earshot_text *text);

/** How text is to look. */
typedef struct earshot_look {
    bool colour;    /**< terminal colour sequences */
    unsigned width; /**< columns to fill at most, 40 to 400 */
} earshot_look;

/** Table of devices: margin, dependable margin, verdict, why; then capacity and summary lines. */
void earshot_present_check(const earshot_check *check, const earshot_look *look, earshot_text *text);
/** Several checks of one plan side by side: dependable margin and verdict of every device in each.
 *  @param[in] check  [n_checks] of the same plan, 2 or more */
void earshot_present_comparison(const earshot_check *check, size_t n_checks, const earshot_look *look,
                                earshot_text *text);
/** What an estimate is not; a further word where the plan has devices that guard life. */
void earshot_present_cautions(const earshot_plan *plan, const earshot_look *look, earshot_text *text);

/** A text map and what it is a map of. */
typedef struct earshot_map_view {
    const earshot_grid *grid;
    earshot_vec3 from;                  /**< the fixed end, drawn as R */
    const char *from_name, *from_label; /**< label may be NULL */
    const earshot_radio *radio;         /**< of the device that is carried about */
    double frequency_hz;
    earshot_model model;
    const earshot_check *check; /**< for the margins in the key; NULL: the key does without */
} earshot_map_view;

/** The text map of one storey with its key: one character a cell, '#' what stands at that height, '-' a dependable
 *  margin below 0, a digit d one of 5d to 5d + 5 dB (9: 45 dB and more), 'R' the fixed end, letters for devices.
 *  There are 51 letters (A to Z without R, a to z); further devices are all drawn as '*' and counted. */
void earshot_present_map(const earshot_site *site, const earshot_map_view *view, const earshot_look *look,
                         earshot_text *text);
/** One device's budget as a ladder, the reason in words, and what would change it. */
earshot_status earshot_present_explanation(const earshot_check *check, size_t device, const earshot_look *look,
                                           earshot_text *text);
/** All materials of a plan with their losses at the plan's bands, spread, basis and source. */
void earshot_present_materials(const earshot_site *site, const earshot_look *look, earshot_text *text);

/** The choices of a placement, ranked: cost, weakest link, repeaters, cables, why each is above the next, what stands
 *  in the way, how busy the channel is. */
void earshot_present_placement(const earshot_placement *placement, const earshot_look *look, earshot_text *text);
/** The best choice of each of n placements (bands) side by side. */
void earshot_present_placements(const earshot_placement *placement, size_t n, const earshot_look *look,
                                earshot_text *text);

/** CSV (RFC 4180: CRLF, header line): a row per device and check; a row per cell. */
void earshot_csv_check(const earshot_check *check, size_t n_checks, earshot_text *text);
void earshot_csv_grid(const earshot_site *site, const earshot_grid *grid, earshot_text *text);
/** A row per material and band of the plan. */
void earshot_csv_materials(const earshot_site *site, earshot_text *text);
/** JSON (RFC 8259). @return EARSHOT_OK or EARSHOT_MEMORY. */
earshot_status earshot_json_check(const earshot_check *check, size_t n_checks, earshot_text *text);

/** What readings say of the plan: each reading beside what was foretold, the walls before and after, what the readings
 *  cannot tell apart, and the verdicts that change.
 *  @param[in] before, after  [n_checks] of calibration->before and ->after, for the same bands */
void earshot_present_calibration(const earshot_calibration *calibration, const earshot_check *before,
                                 const earshot_check *after, size_t n_checks, const earshot_look *look,
                                 earshot_text *text);
/** The best places for the next reading. @param[in] next  [n] as earshot_next_readings ranks them */
void earshot_present_next(const earshot_check *check, const earshot_next *next, size_t n, double doubt,
                          const earshot_look *look, earshot_text *text);
/** Trends over several visits, what to look at first on top; nothing after a single visit. */
void earshot_present_visits(const earshot_calibration *calibration, const earshot_visits *visits,
                            const earshot_look *look, earshot_text *text);
/** The corrected materials as a file of the plan language, for `use`. */
void earshot_plan_text_calibrated(const earshot_calibration *calibration, earshot_text *text);
/** A row per reading. */
void earshot_csv_calibration(const earshot_calibration *calibration, earshot_text *text);
/** Everything. @return EARSHOT_OK or EARSHOT_MEMORY. */
earshot_status earshot_json_calibration(const earshot_calibration *calibration, const earshot_check *before,
                                        const earshot_check *after, size_t n_checks, const earshot_visits *visits,
                                        earshot_text *text);

/** A row per choice and device. */
void earshot_csv_placement(const earshot_placement *placement, size_t n, earshot_text *text);
/** @return EARSHOT_OK or EARSHOT_MEMORY. */
earshot_status earshot_json_placement(const earshot_placement *placement, size_t n, earshot_text *text);

/** One finding as a person reads it: file:line:column, message, the line with the fault underlined, hint. */
void earshot_present_error(const earshot_error *error, bool warning, const earshot_look *look, earshot_text *text);

#ifdef __cplusplus
}
#endif
#endif
