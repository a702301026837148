/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Pictures: a storey with its coverage, and one link as a ladder and a plan. One drawing code for SVG, PNG and PDF.
 *  The libraries beneath (cairo, pango and GLib) end the program when memory is out; all else is as elsewhere. The
 *  same input gives the same bytes, on one machine with one set of fonts.
 */
#ifndef EARSHOT_PICTURE_H
#define EARSHOT_PICTURE_H

#include "earshot/present.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Languages of what a client reads. */
typedef enum earshot_language {
    EARSHOT_ENGLISH,
    EARSHOT_GERMAN,
    EARSHOT_LANGUAGES /**< how many there are */
} earshot_language;

/** @return "en", "de"; NULL if out of range. */
const char *earshot_language_code(earshot_language language);

typedef enum earshot_picture_format {
    EARSHOT_PICTURE_SVG,
    EARSHOT_PICTURE_PNG,
    EARSHOT_PICTURE_PDF
} earshot_picture_format;

typedef enum earshot_paper { EARSHOT_PAPER_A4, EARSHOT_PAPER_LETTER } earshot_paper;

/** @return whether this build can draw: the calls below end in EARSHOT_NOT_BUILT_IN otherwise. */
bool earshot_pictures_built_in(void);

/** How a picture is to be. */
typedef struct earshot_picture_look {
    earshot_picture_format format;
    earshot_language language;
    earshot_paper paper; /**< of a PDF */
    double width_pt;     /**< of an SVG or PNG, 240 to 4000 points of 1/72 inch; a PNG has two pixels a point; 0: 760 */
} earshot_picture_look;

/** A storey to scale: walls, doors, windows, blocks, dimensions, the dependable margin as shading and contour lines,
 *  devices (their verdicts when the view has a check) and a legend.
 *  @param[in]     view     [n_views] maps of one site, a page each; only a PDF holds more than one
 *  @param[in,out] picture  the file's bytes are appended; nothing on failure
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_NOT_BUILT_IN; EARSHOT_MEMORY. */
earshot_status earshot_picture_map(const earshot_site *site, const earshot_map_view *view, size_t n_views,
                                   const earshot_picture_look *look, earshot_text *picture);

/** One device's budget as a descending ladder, one step a wall, and the plan with the line between device and receiver
 *  and the walls it crosses numbered the same.
 *  @return as earshot_picture_map; EARSHOT_ARGUMENT also for a device that was not judged by radio. */
earshot_status earshot_picture_explanation(const earshot_check *check, size_t device, const earshot_picture_look *look,
                                           earshot_text *picture);

#ifdef __cplusplus
}
#endif
#endif
