/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a receiver has to overcome: its own noise, the warmth of the room, other people's machines. */
#include <math.h>

#include "earshot/link.h"

static const double BOLTZMANN_J_K = 1.380649e-23; /* exact since the SI of 2019 */
static const double T0_K = 290.0;                 /* reference temperature of noise figures */

/* Man-made noise, ITU-R P.372: c - d log10(f/MHz) dB above k T0 B, with the frequencies it is stated for. Values as a
 * public program for P.372-17 holds them, not read in the Recommendation itself. */
typedef struct curve {
    double c, d, from_hz, to_hz;
} curve;

static const curve CURVE[] = {
    [EARSHOT_NOISE_CITY] = {76.8, 27.7, 0.3e6, 900e6},
    [EARSHOT_NOISE_RESIDENTIAL] = {72.5, 27.7, 0.3e6, 250e6},
    [EARSHOT_NOISE_RURAL] = {67.2, 27.7, 0.3e6, 250e6},
    [EARSHOT_NOISE_QUIET] = {53.6, 28.6, 0.3e6, 250e6},
};

static bool is_noise(earshot_noise noise)
{
    return (int)noise >= EARSHOT_NOISE_NONE && (int)noise <= EARSHOT_NOISE_QUIET;
}

double earshot_noise_man_made_db(earshot_noise noise, double frequency_hz)
{
    if (!is_noise(noise) || !(frequency_hz > 0.0) || !isfinite(frequency_hz)) return NAN;
    if (noise == EARSHOT_NOISE_NONE) return -INFINITY;
    return CURVE[noise].c - CURVE[noise].d * log10(frequency_hz / 1e6);
}

bool earshot_noise_extrapolated(earshot_noise noise, double frequency_hz)
{
    if (!is_noise(noise) || noise == EARSHOT_NOISE_NONE) return false;
    return !(frequency_hz >= CURVE[noise].from_hz && frequency_hz <= CURVE[noise].to_hz);
}

/* Noise of the receiver (noise factor - 1), of the warm room its antenna looks at (1), and man-made, all in units of
 * k T0 B. P.372 adds them so for an antenna under the sky, which is colder; indoors walls surround it. */
double earshot_noise_floor_dbm(const earshot_radio *radio, double frequency_hz)
{
    if (!(radio->bandwidth_hz > 0.0) || isnan(radio->noise_figure_db)) return NAN;
    const double thermal_mw = BOLTZMANN_J_K * T0_K * radio->bandwidth_hz * 1e3;
    const double man_made = pow(10.0, earshot_noise_man_made_db(radio->noise, frequency_hz) / 10.0);
    return 10.0 * log10(thermal_mw * (pow(10.0, radio->noise_figure_db / 10.0) + man_made));
}

double earshot_threshold_dbm(const earshot_radio *radio, double frequency_hz)
{
    if (isnan(radio->sensitivity_dbm)) return NAN;
    const double by_noise_dbm =
        earshot_noise_floor_dbm(radio, frequency_hz) + radio->snr_db; /* NAN unless all stated */
    return fmax(radio->sensitivity_dbm, by_noise_dbm);                /* of a number and NAN: the number */
}
