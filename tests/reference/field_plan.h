/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reference fields of tests/reference/fields as panels, prisms and points. */
#ifndef FIELD_PLAN_H
#define FIELD_PLAN_H

#include "propagation/rays.h"

enum { FIELD_MAX_PARTS = 256, FIELD_MAX_POINTS = 1024 };

typedef struct field_point {
    double x_m, y_m, z_m, gain_db, gain_point_db;
} field_point;

typedef struct field_plan {
    es_panel panel[FIELD_MAX_PARTS];
    es_sheet sheet[FIELD_MAX_PARTS];
    es_prism prism[FIELD_MAX_PARTS];
    es_material material[FIELD_MAX_PARTS];
    es_layer layer[FIELD_MAX_PARTS]; /* one a material */
    earshot_point corner[4 * FIELD_MAX_PARTS];
    size_t n_panels, n_sheets, n_prisms, n_materials;
    earshot_vec3 source;
} field_plan;

/* Both end the test with a message when a file cannot be read. dimensions: 2 or 3. */
field_plan *field_plan_read(const char *path, int dimensions);
size_t field_points_read(const char *path, int dimensions, field_point *point);

#endif
