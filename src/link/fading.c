/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Depth of Rice fading. The amplitude r of a path of constant amplitude a with two Gaussian components of variance 1
 * has the density r exp(-(r^2 + a^2)/2) I0(a r) (Rice 1945); its power is noncentral chi-square with 2 degrees of
 * freedom, K = a^2/2, mean a^2 + 2. docs/model/fading.md */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_sf_bessel.h>
#include <math.h>

#include "earshot/link.h"

static const double LARGEST_K = 1e6;
static const double LOWEST_CONFIDENCE = 0.5, HIGHEST_CONFIDENCE = 0.9999; /* what link.h promises */

/* What lies further than this below r has a share below 1e-15 of what lies below r. */
static const double TAIL = 8.0;

/* Gauss-Legendre rule of order 24: the positive zeros of the Legendre polynomial and their weights. Over the width of
 * TAIL it gives the distribution to 1e-11 (tests/unit/link/test_fading.c sums the series instead). */
static const double NODE[][2] = {
    {0.064056892862605626, 0.12793819534675216}, {0.19111886747361631, 0.1258374563468283},
    {0.31504267969616337, 0.12167047292780339},  {0.43379350762604514, 0.1155056680537256},
    {0.54542147138883954, 0.10744427011596563},  {0.64809365193697557, 0.097618652104113888},
    {0.74012419157855436, 0.086190161531953276}, {0.82000198597390292, 0.073346481411080306},
    {0.88641552700440103, 0.059298584915436781}, {0.93827455200273276, 0.044277438817419806},
    {0.9747285559713095, 0.028531388628933663},  {0.99518721999702136, 0.0123412297999872},
};
enum { NODES = sizeof NODE / sizeof NODE[0] };

static double density(double a, double r)
{
    return r * exp(-0.5 * (r - a) * (r - a)) * gsl_sf_bessel_I0_scaled(a * r);
}

/* Share of amplitudes below r. */
static double share_below(double a, double r)
{
    const double low = fmax(0.0, r - TAIL), half = (r - low) / 2.0, middle = (r + low) / 2.0;
    double sum = 0.0;
    for (size_t i = 0; i < NODES; i++) {
        const double step = half * NODE[i][0];
        sum += NODE[i][1] * (density(a, middle - step) + density(a, middle + step));
    }
    return half * sum;
}

/* The amplitude below which a share lies: Newton's rule on the logarithms of both (straight near zero, where the share
 * goes with r^2), kept inside a bracket. The share is 1e-4 to 0.5, which a - 5 and a + 1.3 enclose for every a. */
static double amplitude_at(double a, double share)
{
    double low = fmax(0.0, a - 5.0), high = a + 1.3;
    double r = fmax(a + gsl_cdf_ugaussian_Pinv(share), sqrt(-2.0 * log1p(-share)));
    for (int step = 0; step < 100; step++) {
        if (!(r > low && r < high)) r = (low + high) / 2.0;
        const double below = share_below(a, r);
        if (below < share)
            low = r;
        else
            high = r;
        const double change = log(share / below) * below / (r * density(a, r));
        r *= exp(change);
        if (fabs(change) < 1e-12) break;
    }
    return r;
}

double earshot_fading_depth_db(double rice_k, double confidence)
{
    if (!(rice_k >= 0.0 && rice_k <= LARGEST_K)) return NAN;
    if (!(confidence >= LOWEST_CONFIDENCE && confidence <= HIGHEST_CONFIDENCE)) return NAN;
    if (rice_k == 0.0) return fmax(0.0, -10.0 * log10(-log(confidence))); /* Rayleigh: exponential power */
    const double r = amplitude_at(sqrt(2.0 * rice_k), 1.0 - confidence);
    return fmax(0.0, -10.0 * log10(r * r / (2.0 + 2.0 * rice_k)));
}
