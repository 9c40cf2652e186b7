-- Dates garments: how probable each variant and each year is, for all garments of a table at once.
--
-- Before: make the tables of tables.sql, load the files beside it, and fill `garments`, `readings` and, where garments bear
-- codes, `code_years`.
-- After: rows (garment, variant, year, probability); those about a variant have no year, those about a year no variant.
-- A garment that has no rows bears landmarks that exclude each other, or nothing recorded is in question for it; one
-- that has no rows about years is told apart by its features only.
--
-- It answers as the command `date` does, but for what a query cannot say well: it gives no bits for each feature, no
-- advice on where to look next, no marks that would bound the years, no doubts where landmarks exclude each other, no
-- warning that a garment is unlike anything recorded, and no paragraph. An answer is an opinion drawn from what people
-- recorded, not an authentication; with no maker known, the variants are the nearest among the recorded ones.
--
-- Standard SQL with common table expressions and window functions. Of functions it needs EXP, LN, POWER, COALESCE and
-- SUBSTRING(text, from, length); an engine that calls the natural logarithm LOG needs LN renamed.
WITH
-- What was examined, of features that are known. A state is never a number.
seen AS (
    SELECT r.garment, r.feature, f.kind, COALESCE(r.state, '') AS state,
        CASE WHEN f.kind <> 'state' THEN r.amount END AS amount
    FROM readings r
    JOIN dating_features f ON f.feature = r.feature
),
-- Garments of which nothing is known but what they show.
nameless AS (
    SELECT garment
    FROM garments
    WHERE maker IS NULL AND model IS NULL AND line IS NULL AND wearer IS NULL AND variant IS NULL
),
sorts AS (
    SELECT DISTINCT garment_type FROM dating_models
),
-- Sorts of garments that something examined is never found on.
unfit AS (
    SELECT DISTINCT garment, garment_type
    FROM (
        SELECT s.garment, s.feature, o.garment_type
        FROM seen s
        JOIN nameless n ON n.garment = s.garment
        JOIN dating_garment_types t ON t.feature = s.feature
        CROSS JOIN sorts o
        GROUP BY s.garment, s.feature, o.garment_type
        HAVING SUM(CASE WHEN t.garment_type = o.garment_type THEN 1 ELSE 0 END) = 0
    ) none_fits
),
-- The variants in question: all that fit what is known; where nothing is, those of models with counted garments.
in_question AS (
    SELECT g.garment, v.variant, v.model, v.bounded, m.temper
    FROM garments g
    JOIN dating_variants v
        ON (g.maker IS NULL OR g.maker = v.maker)
        AND (g.model IS NULL OR g.model = v.model)
        AND (g.line IS NULL OR g.line = v.line)
        AND (g.wearer IS NULL OR g.wearer = v.wearer)
        AND (g.variant IS NULL OR g.variant = v.variant)
    JOIN dating_models m ON m.model = v.model
    LEFT JOIN nameless n ON n.garment = g.garment
    LEFT JOIN unfit u ON u.garment = g.garment AND u.garment_type = m.garment_type
    WHERE n.garment IS NULL OR (m.counted = 1 AND u.garment IS NULL)
),
models_in_question AS (
    SELECT garment, model, temper, COUNT(*) AS variants
    FROM in_question
    GROUP BY garment, model, temper
),
-- The temper is the smallest of the models in question; whether years can be told, if any variant is bounded.
cases AS (
    SELECT c.garment, c.models, c.temper, b.bounded
    FROM (SELECT garment, COUNT(*) AS models, MIN(temper) AS temper FROM models_in_question GROUP BY garment) c
    JOIN (SELECT garment, MAX(bounded) AS bounded FROM in_question GROUP BY garment) b ON b.garment = c.garment
),
-- Landmarks of which a clause is met in all its parts. Text that a spreadsheet could run has one ' before it.
met AS (
    SELECT DISTINCT garment, landmark
    FROM (
        SELECT s.garment, c.landmark, c.clause
        FROM dating_conditions c
        JOIN seen s
            ON s.feature = c.feature
            AND (
                s.state = CASE WHEN c.state LIKE '''%' THEN SUBSTRING(c.state, 2, 1000) ELSE c.state END
                OR (
                    c.state IS NULL AND s.amount IS NOT NULL
                    AND (c.low IS NULL OR c.low <= s.amount) AND (c.high IS NULL OR s.amount <= c.high)
                )
            )
        GROUP BY s.garment, c.landmark, c.clause, c.parts
        HAVING COUNT(*) = c.parts
    ) clauses
),
-- A hard landmark of one market is soft while no market is stated, and silent in another.
speaking AS (
    SELECT g.garment, l.landmark, l.odds, l.zone, l.not_before, l.not_after, l.first_year, l.last_year,
        CASE WHEN l.hard = 1 AND (l.market IS NULL OR l.market = g.market) THEN 1 ELSE 0 END AS hard
    FROM met
    JOIN garments g ON g.garment = met.garment
    JOIN dating_landmarks l ON l.landmark = met.landmark
    WHERE l.market IS NULL OR g.market IS NULL OR l.market = g.market
),
bounds AS (
    SELECT g.garment, MAX(s.not_before) AS not_before, MIN(s.not_after) AS not_after,
        MAX(s.first_year) AS first_year, MIN(s.last_year) AS last_year
    FROM garments g
    LEFT JOIN speaking s ON s.garment = g.garment AND s.hard = 1
    GROUP BY g.garment
),
considered AS (
    SELECT MIN(year) AS first_year, MAX(year) AS last_year FROM dating_years
),
-- Whether landmarks exclude each other, or bound only years that are not considered.
placed AS (
    SELECT b.garment, b.first_year, b.last_year, c.first_year AS first_considered, c.last_year AS last_considered,
        CASE WHEN b.first_year > c.last_year OR b.last_year < c.first_year THEN 1 ELSE 0 END AS outside
    FROM bounds b
    CROSS JOIN considered c
    WHERE b.not_before IS NULL OR b.not_after IS NULL OR b.not_before <= b.not_after
),
-- The years that hard landmarks leave: all, and none to be told, where the bounds lie wholly outside them.
windows AS (
    SELECT garment, outside,
        CASE WHEN outside = 1 THEN first_considered ELSE COALESCE(first_year, first_considered) END AS first_year,
        CASE WHEN outside = 1 THEN last_considered ELSE COALESCE(last_year, last_considered) END AS last_year
    FROM placed
),
-- What a soft landmark speaks of, the model's own garments tell better.
answered AS (
    SELECT DISTINCT c.landmark, e.model
    FROM dating_conditions c
    JOIN dating_examined e ON e.feature = c.feature
),
-- Of soft landmarks on one part of the garment, the strongest divides each year outside its bounds; none does where no
-- year can be told.
divisors AS (
    SELECT garment, model, year, SUM(LN(odds)) AS divided
    FROM (
        SELECT s.garment, q.model, s.zone, y.year, MAX(s.odds) AS odds
        FROM speaking s
        JOIN models_in_question q ON q.garment = s.garment
        LEFT JOIN answered a ON a.landmark = s.landmark AND a.model = q.model
        JOIN windows w ON w.garment = s.garment AND w.outside = 0
        JOIN dating_years y ON y.year < s.first_year OR y.year > s.last_year
        WHERE s.hard = 0 AND s.odds > 1 AND a.landmark IS NULL
        GROUP BY s.garment, q.model, s.zone, y.year
    ) strongest
    GROUP BY garment, model, year
),
-- The years that a code does not allow are divided by its key's odds. Keys that read the same are not several reasons:
-- the best source counts.
codes AS (
    SELECT c.garment, c.feature, MAX(k.odds) AS odds
    FROM code_years c
    JOIN dating_keys k ON k.code_key = c.code_key AND k.feature = c.feature
    GROUP BY c.garment, c.feature
),
allowed AS (
    SELECT DISTINCT c.garment, c.feature, y.year
    FROM code_years c
    JOIN dating_keys k ON k.code_key = c.code_key AND k.feature = c.feature
    JOIN dating_years y ON y.year BETWEEN c.first_year AND c.last_year
),
unread AS (
    SELECT c.garment, y.year, SUM(LN(c.odds)) AS divided
    FROM codes c
    CROSS JOIN dating_years y
    LEFT JOIN allowed a ON a.garment = c.garment AND a.feature = c.feature AND a.year = y.year
    WHERE a.year IS NULL
    GROUP BY c.garment, y.year
),
-- States and counts by the columns that tables have; anything else is `other`, and what is lost says nothing.
columns_read AS (
    SELECT s.garment, s.feature, COALESCE(c.state, 'other') AS state
    FROM seen s
    LEFT JOIN dating_columns c ON c.feature = s.feature AND c.state = s.state
    WHERE s.kind IN ('state', 'count') AND s.state <> 'lost'
),
own AS (
    SELECT DISTINCT variant, feature FROM dating_cells
),
-- Likelihoods in twentieths of a bit: from the model's tables, the same in all years, and from the variant's own.
steady AS (
    SELECT q.garment, q.variant, SUM(c.cell) AS cells
    FROM in_question q
    JOIN columns_read r ON r.garment = q.garment
    JOIN dating_model_cells c ON c.model = q.model AND c.feature = r.feature AND c.state = r.state
    LEFT JOIN own o ON o.variant = q.variant AND o.feature = r.feature
    WHERE o.variant IS NULL
    GROUP BY q.garment, q.variant
),
yearly AS (
    SELECT q.garment, q.variant, y.year, SUM(c.cell) AS cells
    FROM in_question q
    JOIN columns_read r ON r.garment = q.garment
    JOIN dating_cells c ON c.variant = q.variant AND c.feature = r.feature AND c.state = r.state
    JOIN dating_years y ON y.year BETWEEN c.first_year AND c.last_year
    GROUP BY q.garment, q.variant, y.year
),
-- What divides the garments that measures are compared among: a state or count, or the band of a number.
covariates AS (
    SELECT s.garment, s.feature,
        CASE WHEN s.amount IS NOT NULL AND s.kind <> 'count' THEN NULL
            WHEN s.amount IS NOT NULL OR s.state = 'absent' OR c.state IS NOT NULL THEN s.state
            ELSE 'other' END AS state,
        CASE WHEN s.amount IS NOT NULL AND s.kind <> 'count' THEN COUNT(b.edge) END AS band
    FROM seen s
    LEFT JOIN dating_columns c ON c.feature = s.feature AND c.state = s.state
    LEFT JOIN dating_bands b ON b.feature = s.feature AND b.edge <= s.amount
    WHERE s.state <> 'lost'
    GROUP BY s.garment, s.feature, s.kind, s.state, s.amount, c.state
),
-- The densities of garments like this one.
densities AS (
    SELECT s.garment, s.feature, s.amount, q.model, m.density
    FROM seen s
    JOIN models_in_question q ON q.garment = s.garment
    JOIN dating_measures m ON m.model = q.model AND m.feature = s.feature
    LEFT JOIN dating_strata t ON t.density = m.density
    LEFT JOIN covariates c
        ON c.garment = s.garment AND c.feature = t.covariate AND (c.state = t.state OR c.band = t.band)
    WHERE s.kind = 'measure' AND s.amount IS NOT NULL AND s.state <> 'lost'
    GROUP BY s.garment, s.feature, s.amount, q.model, m.density
    HAVING COUNT(t.covariate) = COUNT(c.feature)
),
-- A measure counts only if every model in question has a density for it.
measured AS (
    SELECT d.garment, d.feature
    FROM densities d
    JOIN cases c ON c.garment = d.garment
    GROUP BY d.garment, d.feature, c.models
    HAVING COUNT(*) = c.models
),
-- How far each measure lies from its centre, in spreads; what may have shrunk lies no lower than it.
distances AS (
    SELECT p.garment, p.variant, p.year, p.degrees, p.log2_constant, p.slip, p.width, p.spread,
        CASE WHEN p.shrinks = 1 AND p.amount < p.centre AND p.amount > 0.9 * p.centre THEN 0
            ELSE (p.amount - p.centre) / p.spread END AS z
    FROM (
        SELECT d.garment, d.amount, q.variant, y.year, m.degrees, m.log2_constant, m.slip, m.width, m.shrinks,
            COALESCE(c.centre, m.centre) AS centre, COALESCE(c.spread, m.spread) AS spread
        FROM densities d
        JOIN measured u ON u.garment = d.garment AND u.feature = d.feature
        JOIN in_question q ON q.garment = d.garment AND q.model = d.model
        JOIN dating_measures m ON m.density = d.density
        CROSS JOIN dating_years y
        LEFT JOIN dating_centres c
            ON c.density = d.density AND c.variant = q.variant AND y.year BETWEEN c.first_year AND c.last_year
    ) p
),
-- Student's density, and a slip of the tape as likely anywhere in the range.
lengths AS (
    SELECT garment, variant, year,
        SUM(LN(
            (1 - slip) * POWER(2.0, log2_constant) / spread * POWER(1 + z * z / degrees, -(degrees + 1) / 2.0)
            + slip / width
        )) AS logarithm
    FROM distances
    GROUP BY garment, variant, year
),
totals AS (
    SELECT variant, SUM(weight) AS total FROM dating_weights GROUP BY variant
),
-- Bayes' rule by logarithms: prior, tempered likelihood, landmarks, codes.
logarithms AS (
    SELECT q.garment, q.variant, w.year,
        w.weight / (t.total * c.models * m.variants) AS prior,
        c.temper * (LN(2.0) * (COALESCE(s.cells, 0) + COALESCE(o.cells, 0)) / 20.0 + COALESCE(l.logarithm, 0))
            - COALESCE(d.divided, 0) - COALESCE(k.divided, 0) AS likelihood
    FROM in_question q
    JOIN cases c ON c.garment = q.garment
    JOIN models_in_question m ON m.garment = q.garment AND m.model = q.model
    JOIN windows b ON b.garment = q.garment
    JOIN totals t ON t.variant = q.variant
    JOIN dating_weights w ON w.variant = q.variant AND w.year BETWEEN b.first_year AND b.last_year
    LEFT JOIN steady s ON s.garment = q.garment AND s.variant = q.variant
    LEFT JOIN yearly o ON o.garment = q.garment AND o.variant = q.variant AND o.year = w.year
    LEFT JOIN lengths l ON l.garment = q.garment AND l.variant = q.variant AND l.year = w.year
    LEFT JOIN divisors d ON d.garment = q.garment AND d.model = q.model AND d.year = w.year
    LEFT JOIN unread k ON k.garment = q.garment AND k.year = w.year
),
-- From the greatest likelihood, so that nothing is lost where all are small.
products AS (
    SELECT garment, variant, year,
        prior * EXP(likelihood - MAX(likelihood) OVER (PARTITION BY garment)) AS product
    FROM logarithms
),
joint AS (
    SELECT garment, variant, year, product / SUM(product) OVER (PARTITION BY garment) AS probability
    FROM products
)
SELECT garment, variant, NULL AS year, SUM(probability) AS probability
FROM joint
GROUP BY garment, variant
UNION ALL
SELECT j.garment, NULL AS variant, j.year, SUM(j.probability) AS probability
FROM joint j
JOIN cases c ON c.garment = j.garment AND c.bounded = 1
JOIN windows w ON w.garment = j.garment AND w.outside = 0
GROUP BY j.garment, j.year
ORDER BY garment, probability DESC;
