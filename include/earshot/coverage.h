/* SPDX-License-Identifier: GPL-3.0-or-later */
/** @file
 *  Many links at once: every device of a plan, every cell of a map. Threads share the work; the result does not
 *  depend on how many there are.
 */
#ifndef EARSHOT_COVERAGE_H
#define EARSHOT_COVERAGE_H

#include "earshot/link.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Called now and then from one thread with the share done, 0 to 1. @return false to stop. */
typedef bool earshot_progress(void *context, double done);

typedef struct earshot_watch {
    earshot_progress *progress; /**< NULL: nobody watches */
    void *context;
} earshot_watch;

/** Links from one station to many.
 *  @param[in]  from   the fixed end (receiver or repeater)
 *  @param[in]  to     [n] the other ends (devices); one whose radio is NULL is skipped and left zero
 *  @param[out] link   [n] caller's memory; untouched on failure
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT; EARSHOT_MEMORY; EARSHOT_INTERNAL when stopped by the watch. */
earshot_status earshot_links(const earshot_site *site, earshot_model model, double frequency_hz, earshot_need need,
                             const earshot_station *from, const earshot_station *to, size_t n,
                             const earshot_watch *watch, earshot_link *link);

/** A grid of cells over one storey. Row 0 is the top of the page (largest y). */
typedef struct earshot_grid {
    unsigned storey;
    double x0_m, y0_m; /**< left and bottom edge */
    double cell_x_m, cell_y_m;
    size_t rows, columns;
    double z_m;            /**< height of the points, above level 0 */
    double *margin_db;     /**< [rows][columns] row-major; margin at the centre of the cell */
    double *dependable_db; /**< [rows][columns] */
} earshot_grid;

enum { EARSHOT_MAX_CELLS = 4000000 };

/** What a map shows. */
typedef struct earshot_grid_request {
    unsigned storey;
    double cell_x_m, cell_y_m;  /**< 0.01 to 100 */
    double height_m;            /**< above the storey's level */
    const earshot_radio *radio; /**< of the device that is carried about */
    double mounting_db, body_db;
} earshot_grid_request;

/** Extent of a storey: its walls, slabs, blocks, devices and receivers, with 0.5 m around.
 *  @return false if the storey has nothing in it. */
bool earshot_storey_extent(const earshot_site *site, unsigned storey, earshot_point *low, earshot_point *high);

/** Margin all over a storey for one receiver (or repeater).
 *  @param[out] grid  arrays allocated here; free with earshot_grid_clear; zeroed on failure
 *  @return EARSHOT_OK; EARSHOT_ARGUMENT (too many cells, empty storey); EARSHOT_MEMORY; EARSHOT_INTERNAL if stopped. */
earshot_status earshot_grid_fill(const earshot_site *site, earshot_model model, double frequency_hz, earshot_need need,
                                 const earshot_station *from, const earshot_grid_request *request,
                                 const earshot_watch *watch, earshot_grid *grid);
void earshot_grid_clear(earshot_grid *grid);

#ifdef __cplusplus
}
#endif
#endif
