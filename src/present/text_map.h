/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cells of a text map before they are printed. */
#ifndef ES_TEXT_MAP_H
#define ES_TEXT_MAP_H

#include "earshot/present.h"

typedef struct es_canvas {
    char *cell; /* [rows][columns], row 0 on top */
    const earshot_grid *grid;
} es_canvas;

enum { ES_MAP_LETTERS = 51 };

/* The letter of the n-th device, from 0; '*' beyond the last letter. */
char es_map_letter(size_t n);
/* The character of a dependable margin. */
char es_map_digit(double dependable_db);

/* Digits of the whole grid; false when memory is out. Free with es_canvas_clear. */
bool es_canvas_new(const earshot_grid *grid, es_canvas *canvas);
void es_canvas_clear(es_canvas *canvas);
/* Where a point lies; false when outside the grid. */
bool es_canvas_find(const es_canvas *canvas, earshot_point p, size_t *index);
/* '#' for every wall and block of the site that cuts the height of the grid and takes anything at this frequency (an
 * empty parking bay of a scene does not). Doors and windows at that height are gaps. false when memory is out. */
bool es_canvas_draw_structure(es_canvas *canvas, const earshot_site *site, double frequency_hz);

#endif
