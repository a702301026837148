/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Status values, and what a person needs to know when something is wrong.
 *
 *  Every function of the library that can fail returns an earshot_status. Those that read text or
 *  files also fill an earshot_error or earshot_findings, which live in the caller's memory, so they
 *  work when memory has run out. Nothing here is shared between threads.
 */
#ifndef EARSHOT_ERROR_H
#define EARSHOT_ERROR_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Outcome of a call. Values are fixed once published. 1xx: plan; 2xx: readings; 3xx: files;
 *  4xx: arguments; 5xx: memory and faults of the library itself. */
typedef enum earshot_status {
    EARSHOT_OK = 0,
    EARSHOT_PLAN_SYNTAX = 100,  /**< a statement cannot be read: unknown keyword, missing field, bad number */
    EARSHOT_PLAN_INVALID = 101, /**< it can be read but cannot be: door on no wall, unknown material */
    EARSHOT_PLAN_LIMIT = 102,   /**< more walls, devices, storeys, text or includes than allowed */
    EARSHOT_READINGS = 200,     /**< a row of readings cannot be used */
    EARSHOT_FILE_READ = 300,    /**< cannot open or read a file */
    EARSHOT_FILE_WRITE = 301,   /**< cannot write a file; the old one is intact */
    EARSHOT_ARGUMENT = 400,     /**< an argument outside its stated range, NaN included */
    EARSHOT_NO_SUCH_NAME = 401, /**< a device, storey, scene or radio that the plan does not have */
    EARSHOT_NOT_BUILT_IN = 402, /**< this build lacks the library that the call needs */
    EARSHOT_MEMORY = 500,       /**< out of memory */
    EARSHOT_INTERNAL = 501      /**< a fault of the library: please report it */
} earshot_status;

/** @return a short English phrase for a status, never NULL. Any thread. */
const char *earshot_status_text(earshot_status status);

/** One mistake or warning: what, where, and what to do about it. */
typedef struct earshot_error {
    earshot_status status;
    unsigned line, column, width; /**< from 1, in characters; 0: no place in a text */
    char file[256];               /**< empty when no file is meant */
    char message[240];            /**< what is wrong: lower case, no full stop, quotes what was read */
    char hint[240];               /**< what would be right; may be empty */
    char excerpt[200];            /**< the line it stands in, as text to show; may be empty */
    unsigned caret;               /**< column in excerpt of the first character to underline, from 1; 0: none */
} earshot_error;

enum { EARSHOT_MAX_FINDINGS = 20 };

/** Up to 20 mistakes and 20 warnings of one reading. The counts go on beyond that until reading stops: more than 20
 *  says that there are more, not how many. */
typedef struct earshot_findings {
    earshot_error mistake[EARSHOT_MAX_FINDINGS];
    earshot_error warning[EARSHOT_MAX_FINDINGS];
    size_t n_mistakes; /**< all that were found until reading stopped; only the first 20 are kept */
    size_t n_warnings;
} earshot_findings;

#ifdef __cplusplus
}
#endif
#endif
