/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The local mean of many rays, and how much the field fades about it. */
#include <math.h>

#include "propagation/rays_inner.h"

/* Paths that keep this much of their coherence over the patch belong to one group. */
static const double SAME_GROUP = 0.7;

static double sinc(double x)
{
    return fabs(x) < 1e-5 ? 1.0 : sin(x) / x;
}

/* How far two plane waves keep step over a square of side w: the mean of e^{jk(u - v).r} over it. */
static double coherence(const rays_path *p, const rays_path *q, double half_kw)
{
    return sinc(half_kw * (p->ux - q->ux)) * sinc(half_kw * (p->uy - q->uy));
}

/* A path's phase at the rim of the patch, and its sine and cosine: differences then need no sine of their own. */
typedef struct rim {
    double x, sin_x, cos_x, y, sin_y, cos_y;
} rim;

static rim rim_of(const rays_path *path, double half_kw)
{
    const double x = half_kw * path->ux, y = half_kw * path->uy;
    return (rim){x, sin(x), cos(x), y, sin(y), cos(y)};
}

static double rim_coherence(const rim *p, const rim *q)
{
    const double x = p->x - q->x, y = p->y - q->y;
    const double along = fabs(x) < 1e-5 ? 1.0 : (p->sin_x * q->cos_x - p->cos_x * q->sin_x) / x;
    const double across = fabs(y) < 1e-5 ? 1.0 : (p->sin_y * q->cos_y - p->cos_y * q->sin_y) / y;
    return along * across;
}

/* Power of one block of paths, and with all before it: blocks keep the rims on the stack. */
enum { BLOCK = 64 };

static double block_power(const rays_path *path, const rim *rims, size_t n, const rays_path *other,
                          const rim *other_rims, size_t n_other)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        const double re = creal(path[i].amplitude), im = cimag(path[i].amplitude);
        const size_t end = other == path ? i : n_other;
        double cross = 0.0;
        for (size_t j = 0; j < end; j++)
            cross += (re * creal(other[j].amplitude) + im * cimag(other[j].amplitude)) *
                     rim_coherence(&rims[i], &other_rims[j]);
        sum += 2.0 * cross + (other == path ? re * re + im * im : 0.0);
    }
    return sum;
}

static size_t fill_rims(const rays_path *path, size_t n, double half_kw, rim *rims)
{
    const size_t used = n < BLOCK ? n : BLOCK;
    for (size_t i = 0; i < used; i++) rims[i] = rim_of(&path[i], half_kw);
    return used;
}

/* Exact for plane waves: P = SUM_ij Re(a_i a_j*) sinc(k w (ux_i - ux_j) / 2) sinc(k w (uy_i - uy_j) / 2). Not below 0
 * but by rounding. */
double es_rays_patch_mean(const rays_path *path, size_t n, double k, double width_m)
{
    const double half_kw = k * width_m / 2.0;
    rim rims[BLOCK], others[BLOCK];
    double sum = 0.0;
    for (size_t i = 0; i < n; i += BLOCK) {
        const size_t used = fill_rims(&path[i], n - i, half_kw, rims);
        sum += block_power(&path[i], rims, used, &path[i], rims, used);
        for (size_t j = 0; j < i; j += BLOCK) {
            const size_t before = fill_rims(&path[j], n - j, half_kw, others);
            sum += block_power(&path[i], rims, used, &path[j], others, before);
        }
    }
    return fmax(sum, 0.0);
}

double es_rays_coherent(const rays_path *path, size_t n)
{
    double complex sum = 0.0;
    for (size_t i = 0; i < n; i++) sum += path[i].amplitude;
    return creal(sum * conj(sum));
}

static size_t strongest_of(const rays_path *path, size_t n)
{
    size_t best = 0;
    for (size_t i = 1; i < n; i++)
        if (rays_size(path[i].amplitude) > rays_size(path[best].amplitude)) best = i;
    return best;
}

/* K of Rice's distribution: |SUM_G a|^2 over the patch mean of the rest, G being the group of the strongest path. The
 * paths are reordered, the group first. 0: nothing arrives; INFINITY: nothing but the group. */
double es_rays_rice_k(rays_path *path, size_t n, double k, double width_m)
{
    if (!n) return 0.0;
    const rays_path strongest = path[strongest_of(path, n)];
    size_t group = 0;
    for (size_t i = 0; i < n; i++) {
        if (coherence(&path[i], &strongest, k * width_m / 2.0) <= SAME_GROUP) continue;
        const rays_path swapped = path[group];
        path[group++] = path[i];
        path[i] = swapped;
    }
    const double rest = es_rays_patch_mean(&path[group], n - group, k, width_m);
    return rest > 0.0 ? es_rays_coherent(path, group) / rest : INFINITY;
}
