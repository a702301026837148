/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Transition functions: how a diffracted field passes over from one side of a shadow boundary to the other, at one edge
 * and at two in a row. */
#include "propagation/rays_fresnel.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"

/* ---- one edge ---- */

/* F(x) over u = sqrt(x): values and derivatives, cubic between. */
enum { FRESNEL_STEPS = 352, STEPS_A_UNIT = 64, SERIES_TERMS = 60, FRACTION_TERMS = 120 };
static const double SERIES_END = 2.5;

/* w(z) = e^{-z^2} erfc(-jz) on the ray z = e^{j 3 pi / 4} u, where the Fresnel integral lives: the power series of erf
 * near 0, the continued fraction of w beyond (Abramowitz and Stegun, 7.1.5 and 7.1.14). */
static double complex faddeeva(double u)
{
    const double complex z = u * cexp(I * 0.75 * ES_PI);
    if (u < SERIES_END) {
        const double complex v = -I * z;
        double complex power = v, sum = v;
        for (int n = 1; n < SERIES_TERMS; n++) {
            power *= -v * v / n;
            sum += power / (2 * n + 1);
        }
        return cexp(-z * z) * (1.0 - 2.0 / sqrt(ES_PI) * sum);
    }
    double complex tail = z;
    for (int n = FRACTION_TERMS; n > 0; n--) tail = z - 0.5 * n / tail;
    return I / sqrt(ES_PI) / tail;
}

/* F(u^2) = j sqrt(pi) u e^{-j pi / 4} w(e^{j 3 pi / 4} u), and its derivative by u with w' = -2 z w + 2j / sqrt(pi). */
double complex *es_rays_fresnel_new(void)
{
    double complex *table = malloc((size_t)2 * (FRESNEL_STEPS + 1) * sizeof *table);
    if (!table) return NULL;
    const double complex ray = cexp(I * 0.75 * ES_PI), front = I * sqrt(ES_PI) * cexp(-I * 0.25 * ES_PI);
    for (size_t i = 0; i <= FRESNEL_STEPS; i++) {
        const double u = (double)i / STEPS_A_UNIT;
        const double complex w = faddeeva(u), slope = ray * (-2.0 * u * ray * w + 2.0 * I / sqrt(ES_PI));
        table[2 * i] = front * u * w;
        table[2 * i + 1] = front * (w + u * slope) / STEPS_A_UNIT; /* by step */
    }
    return table;
}

/* 1 + j/(2x) - 3/(4x^2) - 15j/(8x^3) + 105/(16x^4) + 945j/(32x^5): the asymptotic series of the integral. */
static double complex far_transition(double x)
{
    const double complex y = I / (2.0 * x);
    return 1.0 + y * (1.0 + y * (3.0 + y * (15.0 + y * (105.0 + y * 945.0))));
}

double complex es_rays_transition(const double complex *fresnel, double x)
{
    const double step = sqrt(x) * STEPS_A_UNIT;
    if (step >= FRESNEL_STEPS) return far_transition(x);
    const size_t i = (size_t)step;
    const double s = step - (double)i, r = 1.0 - s;
    const double complex *v = &fresnel[2 * i];
    return r * r * ((1.0 + 2.0 * s) * v[0] + s * v[1]) + s * s * ((1.0 + 2.0 * r) * v[2] - r * v[3]);
}

/* ---- two edges in a row ---- */

/* Gauss-Legendre rule of 24 points on (-1, 1), positive half (Abramowitz and Stegun, table 25.4). */
static const double NODE[] = {0.0640568928626056, 0.1911188674736163, 0.3150426796961634, 0.4337935076260451,
                              0.5454214713888396, 0.6480936519369755, 0.7401241915785544, 0.8200019859739029,
                              0.8864155270044010, 0.9382745520027328, 0.9747285559713095, 0.9951872199970213};
static const double WEIGHT[] = {0.1279381953467522, 0.1258374563468283, 0.1216704729278034, 0.1155056680537256,
                                0.1074442701159656, 0.0976186521041141, 0.0861901615319533, 0.0733464814110804,
                                0.0592985849154367, 0.0442774388174196, 0.0285313886289337, 0.0123412297999871};

/* Q = int int_0^inf exp(-j (u^2 + 2au + v^2 + 2bv - 2wuv)) du dv, turned by 45 degrees in both, in polar coordinates
 * that make the quadratic form a circle: the radius is integrated in closed form, F of one edge, and
 * Q = -j / (2 sqrt(1 - w^2)) int (1 - F(x^2)) dpsi, -asin w < psi < pi/2, with
 * x = cos psi (a + bw) / sqrt(1 - w^2) + sin psi b. */
static double complex near_pair(const double complex *fresnel, double a, double b, double w)
{
    const double rest = sqrt(1.0 - w * w), from = -asin(w);
    const double middle = 0.5 * (from + ES_PI / 2.0), half = 0.5 * (ES_PI / 2.0 - from), across = (a + b * w) / rest;
    double complex sum = 0.0;
    for (size_t i = 0; i < 2 * sizeof NODE / sizeof *NODE; i++) {
        const double psi = middle + (i % 2 ? half : -half) * NODE[i / 2];
        const double x = cos(psi) * across + sin(psi) * b;
        sum += WEIGHT[i / 2] * (1.0 - es_rays_transition(fresnel, x * x));
    }
    return 2.0 * I * a * b / rest * half * sum;
}

/* From a b = |w| on the first terms of the power series in the coupling do: they err by 0.011 at most. */
enum { COUPLING_TERMS = 6 };

/* Moments int_0^inf u^n exp(-j (u^2 + 2au)) du, the first from F(a^2). */
static void moments(double a, double complex transition, double complex moment[COUPLING_TERMS])
{
    moment[0] = -I * transition / (2.0 * a);
    moment[1] = -0.5 * I * (1.0 - transition);
    for (int n = 1; n + 1 < COUPLING_TERMS; n++) moment[n + 1] = -0.5 * n * I * moment[n - 1] - a * moment[n];
}

static double complex far_pair(rays_detour first, rays_detour second, double w)
{
    double complex of_first[COUPLING_TERMS], of_second[COUPLING_TERMS], sum = 0.0, power = 1.0;
    moments(first.root, first.transition, of_first);
    moments(second.root, second.transition, of_second);
    for (int n = 0; n < COUPLING_TERMS; n++) {
        sum += power * of_first[n] * of_second[n];
        power *= 2.0 * I * w / (n + 1.0);
    }
    return -4.0 * first.root * second.root * sum;
}

rays_detour es_rays_detour(const double complex *fresnel, double root)
{
    return (rays_detour){root, es_rays_transition(fresnel, root * root)};
}

double complex es_rays_pair_transition(const double complex *fresnel, rays_detour first, rays_detour second, double w)
{
    if (first.root * second.root < fabs(w)) return near_pair(fresnel, first.root, second.root, w);
    return far_pair(first, second, w);
}
