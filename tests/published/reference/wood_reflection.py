"""The wood's reflection for Mitsuba: the shader's own, written again for a path tracer.

Fibres (Marschner, Westin, Arbree and Moon 2005), the matt rest that conserves energy with them, both under a rough
clear coat (GGX; Walter, Marschner, Li and Torrance 2007): the formulas are those that floor.frag and reflection.frag
among the program's shaders state. Here they are evaluated at every point and for every pair of directions; the shader
takes windows one by one and the rest of the light as even.
"""

from __future__ import annotations

import numpy as np

MATERIALS = {}  # by the name that a scene's dictionary gives: what `register_wood` makes its surfaces of


def register_wood(mi):
    """Make the plugin `wood`, whose property `material` names an entry of `MATERIALS`: a dict of `page` (h, w, 4) and
    `grain` (h, w, 3) of bytes, `alpha`, `ior`, `passes` (4,), `mean_passed`, and `wood` of the shader's constants."""
    import drjit as dr

    class Wood(mi.BSDF):
        def __init__(self, props):
            super().__init__(props)
            found = MATERIALS[props["material"]]
            self.wood, self.passes, self.mean_passed = found["wood"], found["passes"], found["mean_passed"]
            self.alpha, self.ior = found["alpha"], found["ior"]
            self.page = _texture(mi, _linear(found["page"]))
            self.grain = None if found["grain"] is None else _texture(mi, found["grain"].astype(np.float32))
            rough, matt = mi.BSDFFlags.GlossyReflection, mi.BSDFFlags.DiffuseReflection
            front = mi.BSDFFlags.FrontSide
            self.m_components = [rough | front, matt | front | mi.BSDFFlags.SpatiallyVarying]
            self.m_flags = self.m_components[0] | self.m_components[1]

        def _facets(self):
            return mi.MicrofacetDistribution(mi.MicrofacetType.GGX, self.alpha)

        def _parts(self, si, wo, active):
            """Return the coat's and the wood's value times the cosine of the way out."""
            cos_i, cos_o = mi.Frame3f.cos_theta(si.wi), mi.Frame3f.cos_theta(wo)
            active = active & (cos_i > 1e-4) & (cos_o > 1e-4)
            cos_i, cos_o = dr.maximum(cos_i, 1e-4), dr.maximum(cos_o, 1e-4)
            page = self.page.eval(si.uv)
            albedo = mi.Color3f(page[0], page[1], page[2]) * si.shape.eval_attribute_3("vertex_tint", si, active)
            facet = dr.normalize(si.wi + wo)
            met = dr.clip(dr.dot(si.wi, facet), 0, 1)
            a2, up = self.alpha**2, facet.z * facet.z
            spread = up * (a2 - 1) + 1
            density = a2 / (dr.pi * spread * spread)
            hidden = cos_o * dr.sqrt(a2 + (1 - a2) * cos_i * cos_i) + cos_i * dr.sqrt(a2 + (1 - a2) * cos_o * cos_o)
            coat = self._fresnel(met) * density * 0.5 / hidden * cos_o  # Smith's masking, of both ways together
            coat *= 1 - self.wood["pore_open"] * page[3]
            wood = albedo * self.mean_passed * self._passed(cos_i) * self._passed(cos_o) * cos_o
            wood *= self._lobe(si, si.to_world(si.wi), si.to_world(wo), active)
            return dr.select(active, coat, 0), dr.select(active, wood, 0)

        def _passed(self, cosine):
            a, b, c, d = (float(each) for each in self.passes)
            return dr.maximum(a + cosine * (b + cosine * (c + cosine * d)), 0)

        def _fresnel(self, cosine):
            g = dr.sqrt(self.ior**2 - 1 + cosine * cosine)
            near, far = g - cosine, g + cosine
            turned = (cosine * far - 1) / (cosine * near + 1)
            return 0.5 * (near / far) ** 2 * (1 + turned * turned)

        def _lobe(self, si, way_in, way_out, active):
            """The fibre's highlight and the matt rest, over white wood (`wood_lobe` in floor.frag)."""
            k = self.wood
            share = k["fibre_share"]
            if self.grain is None or share == 0:
                return mi.Float(1 / np.pi)
            grain = si.shape.eval_attribute_3("vertex_grain", si, active)
            along = mi.Vector2f(grain.x, grain.y)
            across = dr.select(grain.z < 0, -1.0, 1.0) * mi.Vector2f(-along.y, along.x)
            fibre = self.grain.eval(si.uv)
            turn = (fibre[0] - k["level_fibre"]) * k["steep"]
            lean = (fibre[1] - k["level_fibre"]) * k["steep"] + k["fibre_lean"] * (2 * dr.abs(grain.z) - 1)
            share = share * dr.minimum(fibre[2] / k["level_fibre"], 1.4)
            flat = along + turn * across
            axis = dr.normalize(mi.Vector3f(flat.x, flat.y, lean))
            sine_i, sine_r = dr.dot(way_in, axis), dr.dot(way_out, axis)
            psi_i, psi_r = self._inside(sine_i), self._inside(sine_r)
            off, apart = (psi_i + psi_r) / k["fibre_width"], psi_i - psi_r
            square = apart * apart
            lobe = dr.exp(-0.5 * off * off) / (k["fibre_width"] * 2.506628 * (1 - square * (0.25 - square / 48)))
            rest = (1 - self._returned(sine_i, share)) * (1 - self._returned(sine_r, share)) / (dr.pi * (1 - share))
            return share / k["mean_return"] * lobe + rest

        def _inside(self, sine):
            return dr.asin(dr.clip(sine / self.ior, -1, 1))

        def _returned(self, sine, share):
            square = sine * sine
            return share / self.wood["mean_return"] * (2.8688 - square * (0.7745 + square * (1.6038 - 0.4814 * square)))

        def _coat_chance(self, si):
            return 0.35

        def eval(self, ctx, si, wo, active=True):
            coat, wood = self._parts(si, wo, active)
            return coat + wood

        def pdf(self, ctx, si, wo, active=True):
            facet = dr.normalize(si.wi + wo)
            met = dr.dot(wo, facet)
            good = (mi.Frame3f.cos_theta(si.wi) > 0) & (mi.Frame3f.cos_theta(wo) > 0) & (met > 0)
            mirrored = self._facets().pdf(si.wi, facet) / (4 * met)
            chance = self._coat_chance(si)
            return dr.select(good, chance * mirrored + (1 - chance) * mi.warp.square_to_cosine_hemisphere_pdf(wo), 0)

        def sample(self, ctx, si, sample1, sample2, active=True):
            chance = self._coat_chance(si)
            coat = sample1 < chance
            facet, _ = self._facets().sample(si.wi, sample2)
            wo = dr.select(coat, mi.reflect(si.wi, facet), mi.warp.square_to_cosine_hemisphere(sample2))
            found = mi.BSDFSample3f(wo)
            found.pdf = self.pdf(ctx, si, wo, active)
            found.eta = 1.0
            found.sampled_component = dr.select(coat, mi.UInt32(0), mi.UInt32(1))
            found.sampled_type = dr.select(
                coat, mi.UInt32(+mi.BSDFFlags.GlossyReflection), mi.UInt32(+mi.BSDFFlags.DiffuseReflection)
            )
            good = active & (found.pdf > 0)
            return found, dr.select(good, self.eval(ctx, si, wo, good) / found.pdf, 0)

        def eval_pdf(self, ctx, si, wo, active=True):
            return self.eval(ctx, si, wo, active), self.pdf(ctx, si, wo, active)

        def eval_diffuse_reflectance(self, si, active=True):
            page = self.page.eval(si.uv)
            return mi.Color3f(page[0], page[1], page[2]) * si.shape.eval_attribute_3("vertex_tint", si, active)

        def to_string(self):
            return "Wood[]"

    mi.register_bsdf("wood", Wood)


def _texture(mi, values):
    return mi.Texture2f(mi.TensorXf(np.ascontiguousarray(values, np.float32)), filter_mode=_linear_filter())


def _linear_filter():
    import drjit as dr

    return dr.FilterMode.Linear


def _linear(page):
    """Return a page (h, w, 4) of sRGB bytes and the share of pores as linear values (IEC 61966-2-1:1999)."""
    coded = np.arange(256) / 255
    linear = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4).astype(np.float32)
    colour, pores = linear[page[..., :3]], page[..., 3:4].astype(np.float32) / 255
    return np.concatenate([colour, pores], axis=2)
