/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "reference/field_plan.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"

static void give_up(const char *path, const char *why)
{
    fprintf(stderr, "%s: %s\n", path, why);
    exit(1);
}

static double item(const json_t *array, size_t i)
{
    return json_number_value(json_array_get(array, i));
}

/* The material of a wall or box with this thickness; each pair is a material of its own. */
static size_t add_material(field_plan *plan, const json_t *materials, const char *name, double thickness_m)
{
    const json_t *m = json_object_get(materials, name);
    const es_layer layer = {.a = json_number_value(json_object_get(m, "a")),
                            .b = json_number_value(json_object_get(m, "b")),
                            .c = json_number_value(json_object_get(m, "c")),
                            .d = json_number_value(json_object_get(m, "d")),
                            .thickness_m = thickness_m,
                            .conductor = json_is_true(json_object_get(m, "pec"))};
    for (size_t i = 0; i < plan->n_materials; i++)
        if (memcmp(&plan->layer[i], &layer, sizeof layer) == 0) return i;
    plan->layer[plan->n_materials] = layer;
    plan->material[plan->n_materials] =
        (es_material){.layer = &plan->layer[plan->n_materials], .n_layers = 1, .thickness_m = thickness_m};
    return plan->n_materials++;
}

static void add_wall(field_plan *plan, const json_t *materials, const json_t *wall, int dimensions)
{
    const json_t *from = json_object_get(wall, "from"), *to = json_object_get(wall, "to");
    const json_t *z = json_object_get(wall, "z");
    const double thickness_m = json_number_value(json_object_get(wall, "thickness_m"));
    const char *name = json_string_value(json_object_get(wall, "material"));
    plan->panel[plan->n_panels] = (es_panel){.ax_m = item(from, 0),
                                             .ay_m = item(from, 1),
                                             .bx_m = item(to, 0),
                                             .by_m = item(to, 1),
                                             .z0_m = dimensions == 3 ? item(z, 0) : -1e3,
                                             .z1_m = dimensions == 3 ? item(z, 1) : 1e3,
                                             .element = plan->n_panels,
                                             .material = add_material(plan, materials, name, thickness_m),
                                             .thickness_m = thickness_m};
    plan->n_panels++;
}

static const earshot_point *add_corners(field_plan *plan, const json_t *min, const json_t *max)
{
    earshot_point *corner = &plan->corner[4 * (plan->n_prisms + plan->n_sheets)];
    corner[0] = (earshot_point){item(min, 0), item(min, 1)};
    corner[1] = (earshot_point){item(max, 0), item(min, 1)};
    corner[2] = (earshot_point){item(max, 0), item(max, 1)};
    corner[3] = (earshot_point){item(min, 0), item(max, 1)};
    return corner;
}

/* A box of metal is a prism; one of anything else is a floor or ceiling. */
static void add_box(field_plan *plan, const json_t *materials, const json_t *box, int dimensions)
{
    const json_t *min = json_object_get(box, "min"), *max = json_object_get(box, "max");
    const char *name = json_string_value(json_object_get(box, "material"));
    const double z0 = dimensions == 3 ? item(min, 2) : -1e3, z1 = dimensions == 3 ? item(max, 2) : 1e3;
    const earshot_point *outline = add_corners(plan, min, max);
    const size_t element = FIELD_MAX_PARTS + plan->n_prisms + plan->n_sheets;
    const size_t material = add_material(plan, materials, name, z1 - z0);
    if (plan->layer[material].conductor)
        plan->prism[plan->n_prisms++] = (es_prism){outline, 4, z0, z1, element, material};
    else
        plan->sheet[plan->n_sheets++] = (es_sheet){.outline = outline,
                                                   .n_outline = 4,
                                                   .z_m = (z0 + z1) / 2.0,
                                                   .thickness_m = z1 - z0,
                                                   .element = element,
                                                   .material = material};
}

static void add_parts(field_plan *plan, const json_t *materials, const json_t *parts, int dimensions)
{
    size_t i;
    json_t *part;
    json_array_foreach(parts, i, part)
    {
        if (plan->n_panels + plan->n_prisms + plan->n_sheets >= FIELD_MAX_PARTS) return;
        if (json_object_get(part, "from"))
            add_wall(plan, materials, part, dimensions);
        else
            add_box(plan, materials, part, dimensions);
    }
}

field_plan *field_plan_read(const char *path, int dimensions)
{
    json_error_t error;
    json_t *root = json_load_file(path, 0, &error);
    field_plan *plan = calloc(1, sizeof *plan);
    if (!root || !plan) give_up(path, root ? "out of memory" : error.text);
    const json_t *materials = json_object_get(root, "materials"), *source = json_object_get(root, "source");
    add_parts(plan, materials, json_object_get(root, "walls"), dimensions);
    add_parts(plan, materials, json_object_get(root, "boxes"), dimensions);
    add_parts(plan, materials, json_object_get(root, "elements"), dimensions);
    plan->source = (earshot_vec3){item(source, 0), item(source, 1), dimensions == 3 ? item(source, 2) : 0.0};
    json_decref(root);
    return plan;
}

/* One line of numbers between commas; false at the end of the file. */
static int read_row(const char *path, FILE *file, double *value, int n)
{
    char line[256];
    if (!fgets(line, sizeof line, file)) return 0;
    const char *at = line;
    for (int i = 0; i < n; i++) {
        const size_t used = es_number_read(at, strlen(at), &value[i]);
        if (!used) give_up(path, "a row cannot be read");
        at += used + 1;
    }
    return 1;
}

size_t field_points_read(const char *path, int dimensions, field_point *point)
{
    FILE *file = fopen(path, "r");
    char heading[256];
    if (!file || !fgets(heading, sizeof heading, file)) give_up(path, "cannot be read");
    size_t n = 0;
    double v[5];
    while (n < FIELD_MAX_POINTS && read_row(path, file, v, dimensions + 2)) {
        const double *gain = &v[dimensions];
        point[n++] = (field_point){v[0], v[1], dimensions == 3 ? v[2] : 0.0, gain[0], gain[1]};
    }
    fclose(file);
    return n;
}
