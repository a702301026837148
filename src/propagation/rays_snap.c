/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walls are drawn to each other's faces, past them or to their centre lines. For the rays they are sheets on centre
 * lines, so each end is moved along its own line to the centre line of the wall that it abuts. */
#include <math.h>

#include "propagation/rays_inner.h"

static const double SLACK_M = 0.01;
/* Walls within 6 degrees of each other are one line: they continue, they do not abut. */
static const double SMALLEST_SINE = 0.1;

typedef struct line {
    rays_point a, along;
    double length_m, thickness_m;
} line;

static line line_of(const es_panel *panel)
{
    const rays_point span = {panel->bx_m - panel->ax_m, panel->by_m - panel->ay_m};
    const double length_m = hypot(span.x, span.y);
    return (line){{panel->ax_m, panel->ay_m}, {span.x / length_m, span.y / length_m}, length_m, panel->thickness_m};
}

/* How far an end has to move along its own line to lie on another's centre line; INFINITY if it does not abut. */
static double way_to(const line *own, rays_point end, const line *other)
{
    const double sine = rays_cross(own->along, other->along);
    if (fabs(sine) < SMALLEST_SINE) return INFINITY;
    const double way = rays_cross(rays_minus(other->a, end), other->along) / sine;
    if (fabs(way) > other->thickness_m / 2.0 / fabs(sine) + SLACK_M || fabs(way) > own->length_m / 2.0) return INFINITY;
    const rays_point foot = {end.x + way * own->along.x, end.y + way * own->along.y};
    const double at = rays_dot(rays_minus(foot, other->a), other->along);
    const double beyond = own->thickness_m / 2.0 / fabs(sine) + SLACK_M;
    return at < -beyond || at > other->length_m + beyond ? INFINITY : way;
}

static rays_point snapped(const es_panel *panel, size_t n, size_t i, rays_point end)
{
    const line own = line_of(&panel[i]);
    double nearest = INFINITY;
    for (size_t j = 0; j < n; j++) {
        if (j == i) continue;
        const line other = line_of(&panel[j]);
        const double way = way_to(&own, end, &other);
        if (fabs(way) < fabs(nearest)) nearest = way;
    }
    if (isinf(nearest)) return end;
    return (rays_point){end.x + nearest * own.along.x, end.y + nearest * own.along.y};
}

void es_rays_snap(const es_panel *panel, es_panel *moved, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const rays_point a = snapped(panel, n, i, (rays_point){panel[i].ax_m, panel[i].ay_m});
        const rays_point b = snapped(panel, n, i, (rays_point){panel[i].bx_m, panel[i].by_m});
        moved[i] = panel[i];
        moved[i].ax_m = a.x;
        moved[i].ay_m = a.y;
        moved[i].bx_m = b.x;
        moved[i].by_m = b.y;
    }
}

/* What a wall may miss a slab's face by, the levels of a plan being round numbers. */
static const double FACE_SLACK_M = 0.1;

static void snap_to(const es_sheet *sheet, double thickness_m, es_panel *panel)
{
    const double half_m = thickness_m / 2.0 + FACE_SLACK_M, low = sheet->z_m - half_m, high = sheet->z_m + half_m;
    if (panel->z0_m < low && panel->z1_m > low && panel->z1_m < sheet->z_m) panel->z1_m = sheet->z_m;
    if (panel->z1_m > high && panel->z0_m < high && panel->z0_m > sheet->z_m) panel->z0_m = sheet->z_m;
}

void es_rays_snap_heights(const es_rays_input *input, es_panel *panel)
{
    for (size_t i = 0; i < input->n_panels; i++)
        for (size_t j = 0; j < input->n_sheets; j++)
            snap_to(&input->sheet[j], input->material[input->sheet[j].material].thickness_m, &panel[i]);
}
