/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Margins all over a storey. */
#include <math.h>
#include <stdlib.h>

#include "coverage/share.h"

static const double MARGIN_AROUND_M = 0.5;
static const double SMALLEST_CELL_M = 0.01, LARGEST_CELL_M = 100.0;

/* ---- extent ---- */

typedef struct extent {
    earshot_point low, high;
} extent;

static void include(extent *e, const earshot_point *point, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        e->low.x_m = fmin(e->low.x_m, point[i].x_m);
        e->low.y_m = fmin(e->low.y_m, point[i].y_m);
        e->high.x_m = fmax(e->high.x_m, point[i].x_m);
        e->high.y_m = fmax(e->high.y_m, point[i].y_m);
    }
}

bool earshot_storey_extent(const earshot_site *site, unsigned storey, earshot_point *low, earshot_point *high)
{
    const earshot_plan *p = earshot_site_plan(site);
    extent e = {{INFINITY, INFINITY}, {-INFINITY, -INFINITY}};
    for (size_t i = 0; i < p->n_walls; i++)
        if (p->wall[i].storey == storey) include(&e, p->wall[i].point, p->wall[i].n_points);
    for (size_t i = 0; i < p->n_slabs; i++)
        if (p->slab[i].storey == storey) include(&e, p->slab[i].point, p->slab[i].n_points);
    for (size_t i = 0; i < p->n_blocks; i++)
        if (p->block[i].storey == storey) include(&e, p->block[i].point, p->block[i].n_points);
    for (size_t i = 0; i < p->n_devices; i++)
        if (p->device[i].storey == storey) include(&e, &p->device[i].point, 1);
    for (size_t i = 0; i < p->n_receivers; i++)
        if (p->receiver[i].storey == storey) include(&e, &p->receiver[i].point, 1);
    if (e.low.x_m > e.high.x_m) return false;
    *low = (earshot_point){e.low.x_m - MARGIN_AROUND_M, e.low.y_m - MARGIN_AROUND_M};
    *high = (earshot_point){e.high.x_m + MARGIN_AROUND_M, e.high.y_m + MARGIN_AROUND_M};
    return true;
}

/* ---- cells ---- */

static bool is_cell(double size_m)
{
    return size_m >= SMALLEST_CELL_M && size_m <= LARGEST_CELL_M;
}

/* Cells that cover a length; a remainder from rounding alone is no cell. */
static double cells_over(double length_m, double cell_m)
{
    return fmax(1.0, ceil(length_m / cell_m - 1e-9));
}

/* The grid without its arrays. False when it cannot be. */
static bool lay_out(const earshot_site *site, const earshot_grid_request *request, earshot_grid *grid)
{
    earshot_point low, high;
    const earshot_plan *plan = earshot_site_plan(site);
    if (request->storey >= plan->n_storeys || !isfinite(request->height_m)) return false;
    if (!is_cell(request->cell_x_m) || !is_cell(request->cell_y_m)) return false;
    if (!earshot_storey_extent(site, request->storey, &low, &high)) return false;
    const double columns = cells_over(high.x_m - low.x_m, request->cell_x_m);
    const double rows = cells_over(high.y_m - low.y_m, request->cell_y_m);
    if (!(columns * rows <= EARSHOT_MAX_CELLS)) return false;
    *grid = (earshot_grid){.storey = request->storey,
                           .x0_m = low.x_m,
                           .y0_m = low.y_m,
                           .cell_x_m = request->cell_x_m,
                           .cell_y_m = request->cell_y_m,
                           .rows = (size_t)rows,
                           .columns = (size_t)columns,
                           .z_m = plan->storey[request->storey].level_m + request->height_m};
    return true;
}

typedef struct filling {
    const earshot_field *field;
    const earshot_grid_request *request;
    const earshot_station *from;
    double frequency_hz;
    earshot_need need;
    earshot_grid *grid;
} filling;

static earshot_vec3 cell_centre(const earshot_grid *grid, size_t cell)
{
    const double column = (double)(cell % grid->columns), row = (double)(cell / grid->columns);
    return (earshot_vec3){grid->x0_m + (column + 0.5) * grid->cell_x_m,
                          grid->y0_m + ((double)grid->rows - row - 0.5) * grid->cell_y_m, grid->z_m};
}

static earshot_status fill_cell(void *work, size_t cell)
{
    const filling *f = work;
    const earshot_station carried = {.at = cell_centre(f->grid, cell),
                                     .radio = f->request->radio,
                                     .mounting_db = f->request->mounting_db,
                                     .body_db = f->request->body_db};
    earshot_loss loss;
    earshot_link link;
    earshot_status status = earshot_field_at(f->field, carried.at, carried.radio->antenna, &loss);
    if (!status) status = earshot_link_judge(&carried, f->from, &loss, f->frequency_hz, f->need, &link);
    if (status) return status;
    f->grid->margin_db[cell] = link.margin_db;
    f->grid->dependable_db[cell] = link.dependable_db;
    return EARSHOT_OK;
}

static earshot_status fill_all(const earshot_site *site, earshot_model model, filling *work, const earshot_watch *watch)
{
    earshot_grid *grid = work->grid;
    const size_t cells = grid->rows * grid->columns;
    grid->margin_db = calloc(cells, sizeof *grid->margin_db);
    grid->dependable_db = calloc(cells, sizeof *grid->dependable_db);
    if (!grid->margin_db || !grid->dependable_db) return EARSHOT_MEMORY;
    earshot_field *field;
    const earshot_station *from = work->from;
    earshot_status status =
        earshot_field_new(site, model, work->frequency_hz, from->at, from->radio->antenna, EARSHOT_DETAIL_MAP, &field);
    if (status) return status;
    work->field = field;
    status = es_share(cells, fill_cell, work, watch);
    earshot_field_free(field);
    return status;
}

earshot_status earshot_grid_fill(const earshot_site *site, earshot_model model, double frequency_hz, earshot_need need,
                                 const earshot_station *from, const earshot_grid_request *request,
                                 const earshot_watch *watch, earshot_grid *grid)
{
    if (!grid) return EARSHOT_ARGUMENT;
    *grid = (earshot_grid){0};
    earshot_grid made = {0};
    if (!site || !from || !from->radio || !request || !request->radio) return EARSHOT_ARGUMENT;
    if (!lay_out(site, request, &made)) return EARSHOT_ARGUMENT;
    filling work = {.request = request, .from = from, .frequency_hz = frequency_hz, .need = need, .grid = &made};
    const earshot_status status = fill_all(site, model, &work, watch);
    if (status)
        earshot_grid_clear(&made);
    else
        *grid = made;
    return status;
}

void earshot_grid_clear(earshot_grid *grid)
{
    if (!grid) return;
    free(grid->margin_db);
    free(grid->dependable_db);
    *grid = (earshot_grid){0};
}
