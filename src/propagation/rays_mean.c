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

/* Exact for plane waves: P = SUM_ij Re(a_i a_j*) sinc(k w (ux_i - ux_j) / 2) sinc(k w (uy_i - uy_j) / 2). Not below 0
 * but by rounding. */
double es_rays_patch_mean(const rays_path *path, size_t n, double k, double width_m)
{
    const double half_kw = k * width_m / 2.0;
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        const double complex a = path[i].amplitude;
        double cross = 0.0;
        for (size_t j = 0; j < i; j++)
            cross += creal(a * conj(path[j].amplitude)) * coherence(&path[i], &path[j], half_kw);
        sum += creal(a * conj(a)) + 2.0 * cross;
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
        if (cabs(path[i].amplitude) > cabs(path[best].amplitude)) best = i;
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
