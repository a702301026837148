/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Results as text: tables, text maps, words, CSV, JSON. Each writer appends to an earshot_text and never prints.
 */
#ifndef EARSHOT_PRESENT_H
#define EARSHOT_PRESENT_H

#include "earshot/decide.h"

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
/** The text map of one storey with its key. `check` may be NULL: then devices are not lettered. */
void earshot_present_map(const earshot_site *site, const earshot_grid *grid, size_t receiver,
                         const earshot_check *check, const earshot_look *look, earshot_text *text);
/** One device's budget as a ladder, the reason in words, and what would change it. */
earshot_status earshot_present_explanation(const earshot_check *check, size_t device, const earshot_look *look,
                                           earshot_text *text);
/** All materials of a plan with their losses at the plan's bands, spread, basis and source. */
void earshot_present_materials(const earshot_site *site, const earshot_look *look, earshot_text *text);

/** CSV (RFC 4180: CRLF, header line): a row per device; a row per cell. */
void earshot_csv_check(const earshot_check *check, size_t n_checks, earshot_text *text);
void earshot_csv_grid(const earshot_site *site, const earshot_grid *grid, earshot_text *text);
/** JSON (RFC 8259). @return EARSHOT_OK or EARSHOT_MEMORY. */
earshot_status earshot_json_check(const earshot_check *check, size_t n_checks, earshot_text *text);

/** One finding as a person reads it: file:line:column, message, the line with the fault underlined, hint. */
void earshot_present_error(const earshot_error *error, bool warning, const earshot_look *look, earshot_text *text);

#ifdef __cplusplus
}
#endif
#endif
