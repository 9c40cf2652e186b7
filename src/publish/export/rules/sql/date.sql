-- Dates garments: how probable each variant and each year is, for all garments of a table at once.
--
-- Before: make the tables of tables.sql, load the files beside it, and fill `garments`, `readings` and, where garments
-- bear codes, `code_years`. Date many garments in batches of some 5,000: memory grows with the garments of a batch.
-- After: rows (garment, variant, year, probability). Rows about a variant have no year, rows about a year no variant.
-- They come in no order. A garment without rows bears landmarks that exclude each other, or has no recorded variant in
-- question. For one without rows about years, the years cannot be told.
--
-- It gives the same probabilities as the command `date`. It does not give bits for each feature, advice on where to
-- look next, marks that would bound the years, doubts if landmarks exclude each other, a warning that a garment is
-- unlike anything recorded, or a paragraph. An answer is an opinion drawn from what people recorded, not an
-- authentication; if the maker is not known, the variants are the nearest among the recorded ones.
--
-- A row about a decade has ten columns, one for each year: ten rows fewer to join and to add up. An empty text is read
-- as NULL, and so is text in place of a number: some importers write '' for an empty cell.
--
-- Standard SQL with common table expressions and window functions. Of functions it needs EXP, LN, POWER, COALESCE,
-- NULLIF and SUBSTRING(text, from, length); an engine that calls the natural logarithm LOG needs LN renamed.
WITH
-- Garments by number, which joins faster than a name. Garments with the same known facts share one number.
asked AS (
    SELECT garment, number, maker, model, line, wearer, variant, market,
        DENSE_RANK() OVER (ORDER BY maker, model, line, wearer, variant) AS question
    FROM (
        SELECT garment, ROW_NUMBER() OVER (ORDER BY garment) AS number, COALESCE(maker, '') AS maker,
            COALESCE(model, '') AS model, COALESCE(line, '') AS line, COALESCE(wearer, '') AS wearer,
            COALESCE(variant, '') AS variant, NULLIF(market, '') AS market
        FROM garments
    ) numbered
),
-- What was examined, of features that are known. A state is never a number.
seen AS (
    SELECT a.number AS garment, r.feature, f.kind, COALESCE(r.state, '') AS state,
        CASE WHEN f.kind <> 'state' AND r.amount < 1.0E300 THEN r.amount END AS amount
    FROM readings r
    JOIN asked a ON a.garment = r.garment
    JOIN dating_features f ON f.feature = r.feature
),
-- Of garments without a name, only the readings are known.
questions AS (
    SELECT DISTINCT question, maker, model, line, wearer, variant,
        CASE WHEN maker = '' AND model = '' AND line = '' AND wearer = '' AND variant = '' THEN 1 ELSE 0 END AS nameless
    FROM asked
),
-- The variants that fit what is known; if nothing is known, those of models with counted garments.
fitting AS (
    SELECT q.question, q.nameless, v.number AS variant, v.model, v.bounded, m.temper, m.garment_type
    FROM questions q
    JOIN dating_variants v
        ON (q.maker = '' OR q.maker = v.maker)
        AND (q.model = '' OR q.model = v.model)
        AND (q.line = '' OR q.line = v.line)
        AND (q.wearer = '' OR q.wearer = v.wearer)
        AND (q.variant = '' OR q.variant = v.variant)
    JOIN dating_models m ON m.model = v.model
    WHERE q.nameless = 0 OR m.counted = 1
),
-- Features with the sorts of garments that they are never found on.
foreign_features AS (
    SELECT f.feature, o.garment_type
    FROM (SELECT DISTINCT feature FROM dating_garment_types) f
    CROSS JOIN (SELECT DISTINCT garment_type FROM dating_models) o
    LEFT JOIN dating_garment_types t ON t.feature = f.feature AND t.garment_type = o.garment_type
    WHERE t.feature IS NULL
),
unfit AS (
    SELECT DISTINCT s.garment, f.garment_type
    FROM seen s
    JOIN foreign_features f ON f.feature = s.feature
),
-- A garment without a name cannot be of a sort on which an examined feature is never found.
candidates AS (
    SELECT a.number AS garment, f.variant, f.model, f.bounded, f.temper
    FROM asked a
    JOIN fitting f ON f.question = a.question
    LEFT JOIN unfit u ON u.garment = a.number AND u.garment_type = f.garment_type
    WHERE f.nameless = 0 OR u.garment IS NULL
),
models_in_question AS (
    SELECT garment, model, temper, COUNT(*) AS variants, MAX(bounded) AS bounded
    FROM candidates
    GROUP BY garment, model, temper
),
-- The temper is the smallest of the models in question; whether years can be told, if any variant is bounded.
cases AS (
    SELECT garment, COUNT(*) AS models, MIN(temper) AS temper, MAX(bounded) AS bounded
    FROM models_in_question
    GROUP BY garment
),
-- Text that a spreadsheet could run has one ' before it.
parts AS (
    SELECT landmark, clause, parts, feature,
        CASE WHEN state LIKE '''%' THEN SUBSTRING(state, 2, 1000) ELSE NULLIF(state, '') END AS state,
        CASE WHEN low < 1.0E300 THEN low END AS low, CASE WHEN high < 1.0E300 THEN high END AS high
    FROM dating_conditions
),
landmarks AS (
    SELECT landmark, hard, odds, zone, NULLIF(market, '') AS market, NULLIF(not_before, '') AS not_before,
        NULLIF(not_after, '') AS not_after, CASE WHEN first_year < 10000 THEN first_year END AS first_year,
        CASE WHEN last_year < 10000 THEN last_year END AS last_year
    FROM dating_landmarks
),
-- Landmarks of which a clause is met in all its parts.
met AS (
    SELECT DISTINCT garment, landmark
    FROM (
        SELECT s.garment, p.landmark, p.clause
        FROM parts p
        JOIN seen s
            ON s.feature = p.feature
            AND (
                s.state = p.state
                OR (
                    p.state IS NULL AND s.amount IS NOT NULL
                    AND (p.low IS NULL OR p.low <= s.amount) AND (p.high IS NULL OR s.amount <= p.high)
                )
            )
        GROUP BY s.garment, p.landmark, p.clause, p.parts
        HAVING COUNT(*) = p.parts
    ) clauses
),
-- A hard landmark of one market is soft while no market is stated, and silent in another.
speaking AS (
    SELECT a.number AS garment, l.landmark, l.odds, l.zone, l.not_before, l.not_after, l.first_year, l.last_year,
        CASE WHEN l.hard = 1 AND (l.market IS NULL OR l.market = a.market) THEN 1 ELSE 0 END AS hard
    FROM met
    JOIN asked a ON a.number = met.garment
    JOIN landmarks l ON l.landmark = met.landmark
    WHERE l.market IS NULL OR a.market IS NULL OR l.market = a.market
),
bounds AS (
    SELECT a.number AS garment, MAX(s.not_before) AS not_before, MIN(s.not_after) AS not_after,
        MAX(s.first_year) AS first_year, MIN(s.last_year) AS last_year
    FROM asked a
    LEFT JOIN speaking s ON s.garment = a.number AND s.hard = 1
    GROUP BY a.number
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
-- The years that hard landmarks leave; all, without an answer about years, if the bounds lie wholly outside them.
windows AS (
    SELECT garment, outside,
        CASE WHEN outside = 1 THEN first_considered ELSE COALESCE(first_year, first_considered) END AS first_year,
        CASE WHEN outside = 1 THEN last_considered ELSE COALESCE(last_year, last_considered) END AS last_year
    FROM placed
),
totals AS (
    SELECT variant, SUM(y0 + y1 + y2 + y3 + y4 + y5 + y6 + y7 + y8 + y9) AS total
    FROM dating_weights
    GROUP BY variant
),
-- The variants in question, with their share of the prior for each unit of weight.
in_question AS (
    SELECT v.garment, v.variant, v.model, c.temper, w.first_year, w.last_year,
        1 / (t.total * c.models * m.variants) AS prior
    FROM candidates v
    JOIN cases c ON c.garment = v.garment
    JOIN models_in_question m ON m.garment = v.garment AND m.model = v.model
    JOIN windows w ON w.garment = v.garment
    JOIN totals t ON t.variant = v.variant
),
decades AS (
    SELECT DISTINCT decade FROM dating_years
),
-- A soft landmark is ignored if the model's own garments were examined for its features.
answered AS (
    SELECT DISTINCT p.landmark, e.model
    FROM parts p
    JOIN dating_examined e ON e.feature = p.feature
),
-- Of soft landmarks on one part of the garment, the strongest divides each year outside its bounds; none does if no
-- year can be told.
divisors AS (
    SELECT garment, model, decade,
        SUM(y0) AS y0, SUM(y1) AS y1, SUM(y2) AS y2, SUM(y3) AS y3, SUM(y4) AS y4, SUM(y5) AS y5, SUM(y6) AS y6,
        SUM(y7) AS y7, SUM(y8) AS y8, SUM(y9) AS y9
    FROM (
        SELECT s.garment, q.model, s.zone, d.decade,
            MAX(CASE WHEN d.decade + 0 < s.first_year OR d.decade + 0 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y0,
            MAX(CASE WHEN d.decade + 1 < s.first_year OR d.decade + 1 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y1,
            MAX(CASE WHEN d.decade + 2 < s.first_year OR d.decade + 2 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y2,
            MAX(CASE WHEN d.decade + 3 < s.first_year OR d.decade + 3 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y3,
            MAX(CASE WHEN d.decade + 4 < s.first_year OR d.decade + 4 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y4,
            MAX(CASE WHEN d.decade + 5 < s.first_year OR d.decade + 5 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y5,
            MAX(CASE WHEN d.decade + 6 < s.first_year OR d.decade + 6 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y6,
            MAX(CASE WHEN d.decade + 7 < s.first_year OR d.decade + 7 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y7,
            MAX(CASE WHEN d.decade + 8 < s.first_year OR d.decade + 8 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y8,
            MAX(CASE WHEN d.decade + 9 < s.first_year OR d.decade + 9 > s.last_year THEN LN(s.odds) ELSE 0 END) AS y9
        FROM speaking s
        JOIN models_in_question q ON q.garment = s.garment
        LEFT JOIN answered a ON a.landmark = s.landmark AND a.model = q.model
        JOIN windows w ON w.garment = s.garment AND w.outside = 0
        CROSS JOIN decades d
        WHERE s.hard = 0 AND s.odds > 1 AND a.landmark IS NULL
        GROUP BY s.garment, q.model, s.zone, d.decade
    ) strongest
    GROUP BY garment, model, decade
),
-- The years that a code allows are multiplied by its key's odds, which equals dividing all others. Keys that read the
-- same are not several reasons: the best source counts.
codes AS (
    SELECT a.number AS garment, c.feature, MAX(k.odds) AS odds
    FROM code_years c
    JOIN asked a ON a.garment = c.garment
    JOIN dating_keys k ON k.code_key = c.code_key AND k.feature = c.feature
    GROUP BY a.number, c.feature
),
allowed AS (
    SELECT DISTINCT a.number AS garment, c.feature, y.decade, y.year
    FROM code_years c
    JOIN asked a ON a.garment = c.garment
    JOIN dating_keys k ON k.code_key = c.code_key AND k.feature = c.feature
    JOIN dating_years y ON y.year BETWEEN c.first_year AND c.last_year
),
factors AS (
    SELECT c.garment, a.decade,
        SUM(CASE WHEN a.year = a.decade + 0 THEN LN(c.odds) ELSE 0 END) AS y0,
        SUM(CASE WHEN a.year = a.decade + 1 THEN LN(c.odds) ELSE 0 END) AS y1,
        SUM(CASE WHEN a.year = a.decade + 2 THEN LN(c.odds) ELSE 0 END) AS y2,
        SUM(CASE WHEN a.year = a.decade + 3 THEN LN(c.odds) ELSE 0 END) AS y3,
        SUM(CASE WHEN a.year = a.decade + 4 THEN LN(c.odds) ELSE 0 END) AS y4,
        SUM(CASE WHEN a.year = a.decade + 5 THEN LN(c.odds) ELSE 0 END) AS y5,
        SUM(CASE WHEN a.year = a.decade + 6 THEN LN(c.odds) ELSE 0 END) AS y6,
        SUM(CASE WHEN a.year = a.decade + 7 THEN LN(c.odds) ELSE 0 END) AS y7,
        SUM(CASE WHEN a.year = a.decade + 8 THEN LN(c.odds) ELSE 0 END) AS y8,
        SUM(CASE WHEN a.year = a.decade + 9 THEN LN(c.odds) ELSE 0 END) AS y9
    FROM codes c
    JOIN allowed a ON a.garment = c.garment AND a.feature = c.feature
    GROUP BY c.garment, a.decade
),
-- States and counts by the columns that tables have; anything else is `other`, and lost parts are left out.
columns_read AS (
    SELECT s.garment, s.feature, COALESCE(c.state, 'other') AS state
    FROM seen s
    LEFT JOIN dating_columns c ON c.feature = s.feature AND c.state = s.state
    WHERE s.kind IN ('state', 'count') AND s.state <> 'lost'
),
-- Likelihoods in twentieths of a bit: those of models, and how far those of variants are from them.
model_cells AS (
    SELECT q.garment, q.model, SUM(c.cell) AS cells
    FROM columns_read r
    JOIN models_in_question q ON q.garment = r.garment
    JOIN dating_model_cells c ON c.model = q.model AND c.feature = r.feature AND c.state = r.state
    GROUP BY q.garment, q.model
),
variant_cells AS (
    SELECT q.garment, q.variant, c.cell, c.course, q.temper * LN(2.0) / 20.0 AS unit
    FROM columns_read r
    JOIN in_question q ON q.garment = r.garment
    JOIN dating_cells c ON c.variant = q.variant AND c.feature = r.feature AND c.state = r.state
),
-- The strata within which measures are compared: a state or count, or the band of a number.
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
-- How far each measure lies from each centre, in spreads; one that may have shrunk lies no lower than the centre.
distances AS (
    SELECT p.garment, p.variant, p.temper, p.course, p.steady, p.degrees, p.log2_constant, p.slip, p.width, p.spread,
        CASE WHEN p.shrinks = 1 AND p.amount < p.centre AND p.amount > 0.9 * p.centre THEN 0
            ELSE (p.amount - p.centre) / p.spread END AS z
    FROM (
        SELECT q.garment, q.variant, q.temper, d.amount, m.degrees, m.log2_constant, m.slip, m.width, m.shrinks,
            c.course, COALESCE(c.steady, 1) AS steady, COALESCE(c.centre, m.centre) AS centre,
            COALESCE(c.spread, m.spread) AS spread
        FROM densities d
        JOIN measured u ON u.garment = d.garment AND u.feature = d.feature
        JOIN in_question q ON q.garment = d.garment AND q.model = d.model
        JOIN dating_measures m ON m.density = d.density
        LEFT JOIN dating_centres c ON c.density = d.density AND c.variant = q.variant
    ) p
),
-- Student's density, and a slip of the tape as likely anywhere in the range.
lengths AS (
    SELECT garment, variant, course, steady,
        temper * LN(
            (1 - slip) * POWER(2.0, log2_constant) / spread * POWER(1 + z * z / degrees, -(degrees + 1) / 2.0)
            + slip / width
        ) AS logarithm
    FROM distances
),
-- The tempered likelihood of the first year that is considered.
steady AS (
    SELECT garment, variant, SUM(logarithm) AS logarithm
    FROM (
        SELECT q.garment, q.variant, COALESCE(m.cells, 0) * q.temper * LN(2.0) / 20.0 AS logarithm
        FROM in_question q
        LEFT JOIN model_cells m ON m.garment = q.garment AND m.model = q.model
        UNION ALL
        SELECT garment, variant, cell * unit AS logarithm FROM variant_cells
        UNION ALL
        SELECT garment, variant, logarithm FROM lengths WHERE steady = 1
    ) firsts
    GROUP BY garment, variant
),
-- The changes in other years, by course.
changing AS (
    SELECT garment, variant, course, unit FROM variant_cells WHERE course IS NOT NULL
    UNION ALL
    SELECT garment, variant, course, logarithm AS unit FROM lengths WHERE course IS NOT NULL
),
-- Tempered likelihood, landmarks and codes, for each year.
logarithms AS (
    SELECT garment, variant, decade,
        SUM(y0) AS y0, SUM(y1) AS y1, SUM(y2) AS y2, SUM(y3) AS y3, SUM(y4) AS y4, SUM(y5) AS y5, SUM(y6) AS y6,
        SUM(y7) AS y7, SUM(y8) AS y8, SUM(y9) AS y9
    FROM (
        SELECT s.garment, s.variant, d.decade,
            s.logarithm AS y0, s.logarithm AS y1, s.logarithm AS y2, s.logarithm AS y3, s.logarithm AS y4,
            s.logarithm AS y5, s.logarithm AS y6, s.logarithm AS y7, s.logarithm AS y8, s.logarithm AS y9
        FROM steady s
        CROSS JOIN decades d
        UNION ALL
        SELECT c.garment, c.variant, o.decade,
            c.unit * o.y0 AS y0, c.unit * o.y1 AS y1, c.unit * o.y2 AS y2, c.unit * o.y3 AS y3, c.unit * o.y4 AS y4,
            c.unit * o.y5 AS y5, c.unit * o.y6 AS y6, c.unit * o.y7 AS y7, c.unit * o.y8 AS y8, c.unit * o.y9 AS y9
        FROM changing c
        JOIN dating_courses o ON o.course = c.course
        UNION ALL
        SELECT q.garment, q.variant, d.decade,
            -d.y0 AS y0, -d.y1 AS y1, -d.y2 AS y2, -d.y3 AS y3, -d.y4 AS y4, -d.y5 AS y5, -d.y6 AS y6, -d.y7 AS y7,
            -d.y8 AS y8, -d.y9 AS y9
        FROM divisors d
        JOIN in_question q ON q.garment = d.garment AND q.model = d.model
        UNION ALL
        SELECT q.garment, q.variant, f.decade,
            f.y0 AS y0, f.y1 AS y1, f.y2 AS y2, f.y3 AS y3, f.y4 AS y4, f.y5 AS y5, f.y6 AS y6, f.y7 AS y7,
            f.y8 AS y8, f.y9 AS y9
        FROM factors f
        JOIN in_question q ON q.garment = f.garment
    ) terms
    GROUP BY garment, variant, decade
),
-- With the prior; 0 outside the window.
weighed AS (
    SELECT q.garment, q.variant, l.decade,
        CASE WHEN l.decade + 0 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y0 ELSE 0 END AS w0,
        CASE WHEN l.decade + 1 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y1 ELSE 0 END AS w1,
        CASE WHEN l.decade + 2 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y2 ELSE 0 END AS w2,
        CASE WHEN l.decade + 3 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y3 ELSE 0 END AS w3,
        CASE WHEN l.decade + 4 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y4 ELSE 0 END AS w4,
        CASE WHEN l.decade + 5 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y5 ELSE 0 END AS w5,
        CASE WHEN l.decade + 6 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y6 ELSE 0 END AS w6,
        CASE WHEN l.decade + 7 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y7 ELSE 0 END AS w7,
        CASE WHEN l.decade + 8 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y8 ELSE 0 END AS w8,
        CASE WHEN l.decade + 9 BETWEEN q.first_year AND q.last_year THEN q.prior * w.y9 ELSE 0 END AS w9,
        l.y0, l.y1, l.y2, l.y3, l.y4, l.y5, l.y6, l.y7, l.y8, l.y9
    FROM logarithms l
    JOIN in_question q
        ON q.garment = l.garment AND q.variant = l.variant
        AND l.decade + 9 >= q.first_year AND l.decade <= q.last_year
    JOIN dating_weights w ON w.variant = l.variant AND w.decade = l.decade
),
places AS (
    SELECT DISTINCT year - decade AS place FROM dating_years
),
greatest_logarithms AS (
    SELECT t.garment, MAX(
            CASE p.place WHEN 0 THEN y0 WHEN 1 THEN y1 WHEN 2 THEN y2 WHEN 3 THEN y3 WHEN 4 THEN y4 WHEN 5 THEN y5
                WHEN 6 THEN y6 WHEN 7 THEN y7 WHEN 8 THEN y8 ELSE y9 END
        ) AS logarithm
    FROM (
        SELECT garment,
            MAX(CASE WHEN w0 > 0 THEN y0 END) AS y0, MAX(CASE WHEN w1 > 0 THEN y1 END) AS y1,
            MAX(CASE WHEN w2 > 0 THEN y2 END) AS y2, MAX(CASE WHEN w3 > 0 THEN y3 END) AS y3,
            MAX(CASE WHEN w4 > 0 THEN y4 END) AS y4, MAX(CASE WHEN w5 > 0 THEN y5 END) AS y5,
            MAX(CASE WHEN w6 > 0 THEN y6 END) AS y6, MAX(CASE WHEN w7 > 0 THEN y7 END) AS y7,
            MAX(CASE WHEN w8 > 0 THEN y8 END) AS y8, MAX(CASE WHEN w9 > 0 THEN y9 END) AS y9
        FROM weighed
        GROUP BY garment
    ) t
    CROSS JOIN places p
    GROUP BY t.garment
),
-- Bayes' rule, relative to the greatest likelihood, so that nothing underflows if all are small. Some engines refuse
-- numbers that are too small to write: what is e^600 times less likely is 0.
products AS (
    SELECT w.garment, w.variant, w.decade,
        CASE WHEN w0 > 0 AND y0 > g.logarithm - 600 THEN w0 * EXP(y0 - g.logarithm) ELSE 0 END AS p0,
        CASE WHEN w1 > 0 AND y1 > g.logarithm - 600 THEN w1 * EXP(y1 - g.logarithm) ELSE 0 END AS p1,
        CASE WHEN w2 > 0 AND y2 > g.logarithm - 600 THEN w2 * EXP(y2 - g.logarithm) ELSE 0 END AS p2,
        CASE WHEN w3 > 0 AND y3 > g.logarithm - 600 THEN w3 * EXP(y3 - g.logarithm) ELSE 0 END AS p3,
        CASE WHEN w4 > 0 AND y4 > g.logarithm - 600 THEN w4 * EXP(y4 - g.logarithm) ELSE 0 END AS p4,
        CASE WHEN w5 > 0 AND y5 > g.logarithm - 600 THEN w5 * EXP(y5 - g.logarithm) ELSE 0 END AS p5,
        CASE WHEN w6 > 0 AND y6 > g.logarithm - 600 THEN w6 * EXP(y6 - g.logarithm) ELSE 0 END AS p6,
        CASE WHEN w7 > 0 AND y7 > g.logarithm - 600 THEN w7 * EXP(y7 - g.logarithm) ELSE 0 END AS p7,
        CASE WHEN w8 > 0 AND y8 > g.logarithm - 600 THEN w8 * EXP(y8 - g.logarithm) ELSE 0 END AS p8,
        CASE WHEN w9 > 0 AND y9 > g.logarithm - 600 THEN w9 * EXP(y9 - g.logarithm) ELSE 0 END AS p9
    FROM weighed w
    JOIN greatest_logarithms g ON g.garment = w.garment
),
variant_products AS (
    SELECT garment, variant, SUM(p0 + p1 + p2 + p3 + p4 + p5 + p6 + p7 + p8 + p9) AS product
    FROM products
    GROUP BY garment, variant
),
decade_products AS (
    SELECT garment, decade,
        SUM(p0) AS p0, SUM(p1) AS p1, SUM(p2) AS p2, SUM(p3) AS p3, SUM(p4) AS p4, SUM(p5) AS p5, SUM(p6) AS p6,
        SUM(p7) AS p7, SUM(p8) AS p8, SUM(p9) AS p9
    FROM products
    GROUP BY garment, decade
),
evidence AS (
    SELECT garment, SUM(product) AS total FROM variant_products GROUP BY garment
)
SELECT a.garment, v.variant, NULL AS year, p.product / e.total AS probability
FROM variant_products p
JOIN evidence e ON e.garment = p.garment
JOIN asked a ON a.number = p.garment
JOIN dating_variants v ON v.number = p.variant
UNION ALL
SELECT a.garment, NULL AS variant, y.year,
    CASE y.year - y.decade WHEN 0 THEN p0 WHEN 1 THEN p1 WHEN 2 THEN p2 WHEN 3 THEN p3 WHEN 4 THEN p4 WHEN 5 THEN p5
        WHEN 6 THEN p6 WHEN 7 THEN p7 WHEN 8 THEN p8 ELSE p9 END / e.total AS probability
FROM decade_products p
JOIN evidence e ON e.garment = p.garment
JOIN cases c ON c.garment = p.garment AND c.bounded = 1
JOIN windows w ON w.garment = p.garment AND w.outside = 0
JOIN asked a ON a.number = p.garment
JOIN dating_years y ON y.decade = p.decade AND y.year BETWEEN w.first_year AND w.last_year;
