/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "propagation/slab.h"

#include <math.h>

#include "base/units.h"

/* Electric constant, F/m (CODATA 2018). */
#define EPSILON_0_F_M 8.8541878128e-12

/* At grazing incidence r = -1 and t = 0; nearer to it than this, numerator and denominator both vanish. */
#define SMALLEST_COSINE 1e-6

/* What a material known only by its loss table reflects like: brick, between the light materials (plasterboard 2.7)
 * and the dense ones (concrete 5.2). ITU-R P.2040-3 table 3. */
static const es_layer FACE_OF_THE_UNKNOWN = {.a = 3.91, .b = 0.0, .c = 0.0238, .d = 0.16};

double complex es_layer_permittivity(const es_layer *layer, double frequency_hz)
{
    const double f_ghz = frequency_hz / 1e9;
    const double relative = layer->a * pow(f_ghz, layer->b);
    const double sigma_s_m = layer->c * pow(f_ghz, layer->d);
    return relative - I * (sigma_s_m / (2.0 * ES_PI * frequency_hz * EPSILON_0_F_M));
}

static double wavenumber(double frequency_hz)
{
    return 2.0 * ES_PI * frequency_hz / ES_LIGHT_M_S;
}

static double usable_cosine(double cos_theta)
{
    if (cos_theta > 1.0) return 1.0;
    return cos_theta > SMALLEST_COSINE ? cos_theta : SMALLEST_COSINE;
}

/* Component of the wave vector along the normal, relative to free space: sqrt(eps - sin^2), fading with depth. Written
 * as (eps - 1) + cos^2 an air layer is exactly as transparent as the air around it. */
static double complex normal_component(double complex eps, double cosine)
{
    const double complex q = csqrt((eps - 1.0) + cosine * cosine);
    return cimag(q) > 0.0 ? -q : q;
}

/* Fresnel's reflection where medium a meets medium b is (w_a - w_b) / (w_a + w_b) with this weight w: q for TE, q / eps
 * for TM (ITU-R P.2040 section 2.2; the sign of TM as slab.h states it). */
static double complex weight(int polarisation, double complex eps, double complex q)
{
    return polarisation == ES_TE ? q : q / eps;
}

/* t and r of what lies behind, seen from medium `behind`, carried through an interface into medium `here`. */
static void cross_interface(double complex here, double complex behind, double complex *t, double complex *r)
{
    const double complex fresnel = (here - behind) / (here + behind);
    const double complex echoes = 1.0 + fresnel * *r;
    *t *= (1.0 + fresnel) / echoes;
    *r = (fresnel + *r) / echoes;
}

static size_t layers_before_conductor(const es_layer *layer, size_t n)
{
    size_t i = 0;
    while (i < n && !layer[i].conductor) i++;
    return i;
}

/* Put together from the back to the front. Equal to the recursion of ITU-R P.2040 section 2.2.2 divided through by its
 * growing exponentials: only e^{-jkqd}, of magnitude 1 at most, is ever taken, so that nothing overflows however thick
 * and lossy a layer is. */
void es_slab_layers(const es_layer *layer, size_t n, double frequency_hz, double cos_theta, double complex t[2],
                    double complex r[2])
{
    const double cosine = usable_cosine(cos_theta), k = wavenumber(frequency_hz);
    const size_t used = layers_before_conductor(layer, n);
    double complex behind[2] = {cosine, cosine}; /* air; a conductor's r is the same seen from any medium */
    t[ES_TE] = t[ES_TM] = used < n ? 0.0 : 1.0;
    r[ES_TE] = used < n ? -1.0 : 0.0;
    r[ES_TM] = used < n ? 1.0 : 0.0;
    for (size_t i = used; i-- > 0;) {
        const double complex eps = es_layer_permittivity(&layer[i], frequency_hz);
        const double complex q = normal_component(eps, cosine);
        const double complex passage = cexp(-I * q * (k * layer[i].thickness_m));
        for (int p = ES_TE; p <= ES_TM; p++) {
            const double complex here = weight(p, eps, q);
            cross_interface(here, behind[p], &t[p], &r[p]);
            t[p] *= passage;
            r[p] *= passage * passage;
            behind[p] = here;
        }
    }
    for (int p = ES_TE; p <= ES_TM; p++) cross_interface(cosine, behind[p], &t[p], &r[p]);
}

double complex es_slab_to_centre(double thickness_m, double frequency_hz, double cos_theta)
{
    return cexp(I * (wavenumber(frequency_hz) * thickness_m * usable_cosine(cos_theta)));
}

/* Reflection of a half space, as a field and as a share of power. */
static double complex face_reflection(int polarisation, double frequency_hz, double cosine)
{
    const double complex eps = es_layer_permittivity(&FACE_OF_THE_UNKNOWN, frequency_hz);
    const double complex here = weight(polarisation, eps, normal_component(eps, cosine));
    return (cosine - here) / (cosine + here);
}

static double power(double complex field)
{
    return creal(field) * creal(field) + cimag(field) * cimag(field);
}

/* How strongly the face of a sheet of this loss reflects, as a share of what brick does, in power: all of it where the
 * table's loss leaves room for two such faces, else as much as explains the loss entirely. 0 dB reflects nothing. */
static double face_share(double loss_db, double brick_at_normal)
{
    const double explained = 1.0 - pow(10.0, -loss_db / 20.0);
    return explained < brick_at_normal ? explained / brick_at_normal : 1.0;
}

/* |t| of a sheet known by its loss at normal incidence. Inside a dense material a ray is bent towards the normal (in
 * brick its way grows by 16 % at most), so what changes with angle is what gets in and out through the two faces. */
static double table_transmission(double loss_db, double share, double face, double face_at_normal)
{
    return pow(10.0, -loss_db / 20.0) * (1.0 - share * face) / (1.0 - share * face_at_normal);
}

static double complex with_phase_of(double complex field, double magnitude)
{
    const double before = cabs(field);
    return before > 0.0 ? field * (magnitude / before) : magnitude;
}

/* Scale r down where t leaves less power than it takes. */
static double complex within_energy(double complex r, double transmission)
{
    const double most = sqrt(fmax(0.0, 1.0 - transmission * transmission));
    return cabs(r) > most ? with_phase_of(r, most) : r;
}

static void apply_table(const es_material *material, double frequency_hz, double cosine, double complex t[2],
                        double complex r[2])
{
    const double loss_db = es_material_loss_db(material, frequency_hz, NULL);
    const double normal = power(face_reflection(ES_TE, frequency_hz, 1.0));
    const double share = face_share(loss_db, normal);
    for (int p = ES_TE; p <= ES_TM; p++) {
        const double complex face = face_reflection(p, frequency_hz, cosine);
        const double transmission = table_transmission(loss_db, share, power(face), normal);
        t[p] = material->n_layers ? with_phase_of(t[p], transmission) : transmission;
        r[p] = within_energy(material->n_layers ? r[p] : sqrt(share) * face, transmission);
    }
}

/* What readings found of layers that no table describes: |t| follows, the phase stays, r leaves room. */
static void apply_correction(double correction_db, double complex t[2], double complex r[2])
{
    const double factor = pow(10.0, -correction_db / 20.0);
    for (int p = ES_TE; p <= ES_TM; p++) {
        const double transmission = fmin(1.0, factor * cabs(t[p]));
        t[p] = with_phase_of(t[p], transmission);
        r[p] = within_energy(r[p], transmission);
    }
}

void es_slab_coefficients(const es_material *material, double frequency_hz, double cos_theta, double complex t[2],
                          double complex r[2])
{
    const double complex to_centre = es_slab_to_centre(material->thickness_m, frequency_hz, cos_theta);
    es_slab_layers(material->layer, material->n_layers, frequency_hz, cos_theta, t, r);
    for (int p = ES_TE; p <= ES_TM; p++) {
        t[p] *= to_centre;
        r[p] *= to_centre;
    }
    if (material->n_losses)
        apply_table(material, frequency_hz, usable_cosine(cos_theta), t, r);
    else if (material->correction_db != 0.0)
        apply_correction(material->correction_db, t, r);
}
