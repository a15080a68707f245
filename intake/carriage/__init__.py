"""The law and cost of carriage: a carrier's liability, the periods for notice and claims, and chargeable freight."""
