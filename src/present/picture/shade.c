/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "present/picture/shade.h"

#include <math.h>
#include <stdint.h>

#include "present/drawing/ramp.h"

/* Pixels of the shading along its longer side: fine enough not to be seen, small enough to be sent around. */
static const double STEP_DB = 0.5;
enum { MOST_PIXELS = 480, FINEST = 4 };

static double cell(const earshot_grid *grid, double row, double column)
{
    const double last_row = (double)grid->rows - 1.0, last_column = (double)grid->columns - 1.0;
    const size_t r = (size_t)fmin(fmax(row, 0.0), last_row), c = (size_t)fmin(fmax(column, 0.0), last_column);
    return grid->dependable_db[r * grid->columns + c];
}

/* Row and column are in cells, 0 at the centre of the first. */
static double interpolate(const earshot_grid *grid, double row, double column)
{
    const double r = floor(row), c = floor(column), v = row - r, u = column - c;
    const double upper = (1.0 - u) * cell(grid, r, c) + u * cell(grid, r, c + 1.0);
    const double lower = (1.0 - u) * cell(grid, r + 1.0, c) + u * cell(grid, r + 1.0, c + 1.0);
    return (1.0 - v) * upper + v * lower;
}

double es_shade_at(const earshot_grid *grid, double x_m, double y_m)
{
    const double column = (x_m - grid->x0_m) / grid->cell_x_m;
    const double row = (double)grid->rows - (y_m - grid->y0_m) / grid->cell_y_m;
    if (!(column >= 0.0 && column <= (double)grid->columns && row >= 0.0 && row <= (double)grid->rows)) return NAN;
    return interpolate(grid, row - 0.5, column - 0.5);
}

/* In steps that no eye tells apart: equal neighbours make the file a good deal smaller. */
static uint32_t pixel(double dependable_db)
{
    const es_colour k = es_ramp_of_margin(rint(dependable_db / STEP_DB) * STEP_DB);
    return (uint32_t)lround(k.red * 255.0) << 16 | (uint32_t)lround(k.green * 255.0) << 8 |
           (uint32_t)lround(k.blue * 255.0);
}

static void fill_image(cairo_surface_t *image, const earshot_grid *grid, int per_cell)
{
    const int width = cairo_image_surface_get_width(image), height = cairo_image_surface_get_height(image);
    const int stride = cairo_image_surface_get_stride(image);
    unsigned char *data = cairo_image_surface_get_data(image);
    cairo_surface_flush(image);
    for (int y = 0; y < height; y++) {
        uint32_t *row = (uint32_t *)(void *)(data + (ptrdiff_t)y * stride);
        for (int x = 0; x < width; x++)
            row[x] = pixel(interpolate(grid, (y + 0.5) / per_cell - 0.5, (x + 0.5) / per_cell - 0.5));
    }
    cairo_surface_mark_dirty(image);
}

void es_shade_draw(es_pen *pen, const es_frame *frame, const earshot_grid *grid)
{
    const size_t longer = grid->rows > grid->columns ? grid->rows : grid->columns;
    int per_cell = longer >= MOST_PIXELS ? 1 : (int)(MOST_PIXELS / longer);
    if (per_cell > FINEST) per_cell = FINEST;
    cairo_surface_t *image =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)grid->columns * per_cell, (int)grid->rows * per_cell);
    if (cairo_surface_status(image) != CAIRO_STATUS_SUCCESS) {
        cairo_surface_destroy(image);
        pen->status = EARSHOT_MEMORY;
        return;
    }
    fill_image(image, grid, per_cell);
    const double height_m = (double)grid->rows * grid->cell_y_m;
    cairo_t *c = pen->cairo;
    cairo_save(c);
    cairo_rectangle(c, frame->left, frame->top, es_frame_width(frame), es_frame_height(frame));
    cairo_clip(c);
    cairo_translate(c, es_frame_x(frame, grid->x0_m), es_frame_y(frame, grid->y0_m + height_m));
    cairo_scale(c, grid->cell_x_m * frame->scale / per_cell, grid->cell_y_m * frame->scale / per_cell);
    cairo_set_source_surface(c, image, 0.0, 0.0);
    cairo_pattern_set_extend(cairo_get_source(c), CAIRO_EXTEND_PAD);
    cairo_paint(c);
    cairo_restore(c);
    cairo_surface_destroy(image);
}
