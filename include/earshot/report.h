/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  The client's document: the answer first, maps, the devices with verdicts in words, why some need help, what was
 *  assumed, cautions, and the numbers for the next engineer.
 */
#ifndef EARSHOT_REPORT_H
#define EARSHOT_REPORT_H

#include "earshot/picture.h"
#include "earshot/place.h"
#include "earshot/survey.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum earshot_report_format {
    EARSHOT_REPORT_HTML, /**< one file, without scripts, nothing loaded from elsewhere */
    EARSHOT_REPORT_PDF
} earshot_report_format;

/** What a report is made of. Texts may be NULL. */
typedef struct earshot_report_request {
    const earshot_check *check; /**< [n_checks], 1 or more, of one plan: the first is what is proposed, the others its
                                     other scenes and bands */
    size_t n_checks;
    const earshot_map_view *map; /**< [n_maps], one a storey, with the first check; may be 0 */
    size_t n_maps;
    const earshot_placement *placement;     /**< for the first check's receiver and band: its best choice is what is
                                               proposed;     NULL: the verdicts of the check */
    const earshot_calibration *calibration; /**< readings that the checks rest on; NULL: none */
    const char *date, *prepared_for, *prepared_by; /**< printed as they are */
    earshot_report_format format;
    earshot_language language;
    earshot_paper paper; /**< of a PDF, and of a printed HTML page */
} earshot_report_request;

enum {
    EARSHOT_REPORT_PICTURES = 40
}; /**< devices that are explained with a picture; further ones stand in the table */

/** Write the document. The same input gives the same bytes: no date is taken from the clock.
 *  @param[in]     watch   may be NULL
 *  @param[in,out] report  the file's bytes are appended; nothing on failure
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_NOT_BUILT_IN (see earshot_pictures_built_in); EARSHOT_MEMORY;
 *          EARSHOT_INTERNAL when stopped by the watch. */
earshot_status earshot_report_write(const earshot_report_request *request, const earshot_watch *watch,
                                    earshot_text *report);

#ifdef __cplusplus
}
#endif
#endif
