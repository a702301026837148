/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "survey/matrix.h"

#include <math.h>

double es_dot(const double *a, const double *b, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) sum += a[i] * b[i];
    return sum;
}

double es_bilinear(const double *a, const double *m, const double *b, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) sum += a[i] * es_dot(m + i * n, b, n);
    return sum;
}

bool es_cholesky(double *a, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        double *row = a + i * n;
        for (size_t j = 0; j < i; j++) row[j] = (row[j] - es_dot(row, a + j * n, j)) / a[j * n + j];
        const double left = row[i] - es_dot(row, row, i);
        if (!(left > 0.0) || !isfinite(left)) return false;
        row[i] = sqrt(left);
    }
    return true;
}

void es_solve_lower(const double *l, size_t n, double *x)
{
    for (size_t i = 0; i < n; i++) x[i] = (x[i] - es_dot(l + i * n, x, i)) / l[i * n + i];
}

void es_solve_upper(const double *l, size_t n, double *x)
{
    for (size_t i = n; i-- > 0;) {
        x[i] /= l[i * n + i];
        for (size_t j = 0; j < i; j++) x[j] -= l[i * n + j] * x[i];
    }
}

void es_cholesky_inverse(const double *l, size_t n, double *inverse, double *work)
{
    for (size_t column = 0; column < n; column++) {
        for (size_t i = 0; i < n; i++) work[i] = i == column ? 1.0 : 0.0;
        es_solve_lower(l, n, work);
        es_solve_upper(l, n, work);
        for (size_t i = 0; i < n; i++) inverse[column * n + i] = work[i];
    }
}

double es_cholesky_log(const double *l, size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) sum += log(l[i * n + i]);
    return sum;
}
